using System.Collections.Immutable;

namespace Tonematch.Samples.Charts;

/// <summary>How well measured patches agree with a chart's known colours.</summary>
/// <param name="ExplainedShare">
/// Share (0..1) of the variance of the patches' code values that an affine map of the known colours explains; outlying
/// patches do not count. Real charts reach 0.9 and more through any camera's picture style.
/// </param>
/// <param name="AgreeingCount">The number of patches that agree.</param>
/// <param name="ResidualDeltaE">
/// Mean CIEDE2000 between the known colours and the measured ones after the best smooth correction (quadratic, ten
/// terms): the residual comes not from the camera but from a different chart. Infinite if too few patches could be
/// used.
/// </param>
/// <param name="OutOfLine">Indices of the outlying patches: hidden, shaded, soiled.</param>
public sealed record ChartMatch(double ExplainedShare, int AgreeingCount, double ResidualDeltaE, ImmutableArray<int> OutOfLine)
{
    /// <summary>Below this share, the object is not this chart, or not turned this way.</summary>
    public const double SmallestExplainedShare = 0.88;

    /// <summary>
    /// Above this residual the chart is of a different make (measured on photographs and simulated cameras, see
    /// docs/sampling-accuracy.md).
    /// </summary>
    public const double LargestResidualDeltaE = 2.75;

    /// <summary>Indices of the patches in a shadow, which agree once less light is assumed.</summary>
    public ImmutableArray<int> Shaded { get; init; } = [];

    /// <summary>At least this share of the patches must agree.</summary>
    public const double SmallestAgreeingShare = 0.6;

    /// <summary>Whether it is a chart of this layout and family, turned this way.</summary>
    public bool IsThisKind => ExplainedShare >= SmallestExplainedShare;

    /// <summary>Whether enough patches are unclipped and lit to judge if the colours are the known ones.</summary>
    public bool CanBeJudged => double.IsFinite(ResidualDeltaE);

    /// <summary>
    /// Whether its colours are the known ones, so that it may serve as a reference, not only between cameras.
    /// </summary>
    public bool HasKnownColours => IsThisKind && ResidualDeltaE <= LargestResidualDeltaE;
}
