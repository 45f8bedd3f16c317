using System.Collections.Immutable;

namespace Tonematch.Samples.Charts;

/// <summary>How well measured patches agree with a chart's known colours.</summary>
/// <param name="ExplainedShare">
/// Share (0..1) of the variance of the patches' code values that an affine map of the known colours explains; patches
/// that fall out of line do not count. Real charts reach 0.9 and more through any camera's picture style.
/// </param>
/// <param name="AgreeingCount">How many patches are in line.</param>
/// <param name="ResidualDeltaE">
/// Mean CIEDE2000 between the known colours and the measured ones after the best smooth correction (quadratic, ten
/// terms): what is left is not the camera but another chart. Infinite when too few patches could be used.
/// </param>
/// <param name="OutOfLine">Numbers of the patches that are not in line: hidden, shaded, soiled.</param>
public sealed record ChartMatch(double ExplainedShare, int AgreeingCount, double ResidualDeltaE, ImmutableArray<int> OutOfLine)
{
    /// <summary>Below this share, what was found is not this chart, or not turned this way.</summary>
    public const double SmallestExplainedShare = 0.88;

    /// <summary>
    /// Above this residual the chart is not of the known make (measured on photographs and simulated cameras, see
    /// docs/sampling-accuracy.md).
    /// </summary>
    public const double LargestResidualDeltaE = 2.75;

    /// <summary>Numbers of the patches that lie in a shadow: in line once less light is allowed for.</summary>
    public ImmutableArray<int> Shaded { get; init; } = [];

    /// <summary>At least this share of the patches must be in line.</summary>
    public const double SmallestAgreeingShare = 0.6;

    /// <summary>It is a chart of this layout and family, turned this way.</summary>
    public bool IsThisKind => ExplainedShare >= SmallestExplainedShare;

    /// <summary>Enough patches are unclipped and lit to judge whether the colours are the known ones.</summary>
    public bool CanBeJudged => double.IsFinite(ResidualDeltaE);

    /// <summary>Its colours are the known ones: it may be used as a reference, not only between cameras.</summary>
    public bool HasKnownColours => IsThisKind && ResidualDeltaE <= LargestResidualDeltaE;
}
