using System.Collections.Immutable;

namespace Tonematch.Shoot;

/// <summary>A clip's place on the shoot's clock.</summary>
/// <param name="Clip">The clip.</param>
/// <param name="StartSeconds">The shoot's time at the clip's own time 0; NaN without a place.</param>
/// <param name="RatePpm">How much faster the clip's clock counts than the shoot's, parts per million.</param>
/// <param name="ErrorSeconds">Standard error of the place in the middle of the measured section.</param>
/// <param name="Confidence">Probability that the place is right, 0..1.</param>
/// <param name="Basis">The evidence for the place.</param>
/// <param name="Meetings">Indices of the given meetings that agree with it.</param>
/// <param name="Island">Clips with equal numbers are placed relative to each other; 0 holds the first camera's clips.</param>
public sealed record PlacedClip(
    ShootClip Clip, double StartSeconds, double RatePpm, double ErrorSeconds, double Confidence, PlacementBasis Basis, ImmutableArray<int> Meetings, int Island)
{
    /// <summary>The confidence from which a place is called sure.</summary>
    public const double SureFrom = 0.99;

    // A third of a frame of 60 per second: three standard errors stay within the frame.
    private const double SureErrorSeconds = 1 / 180.0;

    /// <summary>Whether it has a place.</summary>
    public bool IsPlaced => Basis != PlacementBasis.None;

    /// <summary>
    /// Whether the place can be relied on without checking: correct, to within a frame at 60 per second.
    /// </summary>
    public bool IsSure => IsPlaced && Confidence >= SureFrom && ErrorSeconds <= SureErrorSeconds;

    /// <summary>Remarks for the user, in sentences.</summary>
    public ImmutableArray<string> Doubts { get; init; } = [];

    /// <summary>The clip of the same camera that this one continues without a gap, or null.</summary>
    public string? Continues { get; init; }

    /// <summary>Its end, in the shoot's time.</summary>
    public double EndSeconds => ShootTime(Clip.DurationSeconds);

    /// <summary>Converts the clip's time to the shoot's.</summary>
    public double ShootTime(double clipSeconds) => StartSeconds + (clipSeconds / (1 + (RatePpm * 1e-6)));

    /// <summary>Converts the shoot's time to the clip's.</summary>
    public double ClipTime(double shootSeconds) => (shootSeconds - StartSeconds) * (1 + (RatePpm * 1e-6));
}
