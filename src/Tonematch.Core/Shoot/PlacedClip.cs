using System.Collections.Immutable;

namespace Tonematch.Shoot;

/// <summary>A clip's place on the one clock of the shoot.</summary>
/// <param name="Clip">Which clip.</param>
/// <param name="StartSeconds">The shoot's time when the clip's own time is 0; NaN when it has no place.</param>
/// <param name="RatePpm">By how much the clip counts more seconds than the shoot's clock, parts per million.</param>
/// <param name="ErrorSeconds">Standard error of the place in the middle of what it was measured from.</param>
/// <param name="Confidence">Probability that the place is right, 0..1.</param>
/// <param name="Basis">What it was decided from.</param>
/// <param name="Meetings">Meetings that agree with it, indices into what was given.</param>
/// <param name="Island">Clips with equal numbers are placed against each other; 0 holds the first camera's.</param>
public sealed record PlacedClip(
    ShootClip Clip, double StartSeconds, double RatePpm, double ErrorSeconds, double Confidence, PlacementBasis Basis, ImmutableArray<int> Meetings, int Island)
{
    /// <summary>The confidence from which a place is called sure.</summary>
    public const double SureFrom = 0.99;

    // A third of a frame of 60 per second: three standard errors stay within the frame.
    private const double SureErrorSeconds = 1 / 180.0;

    /// <summary>It has a place.</summary>
    public bool IsPlaced => Basis != PlacementBasis.None;

    /// <summary>The place can be relied on without looking: it is right, and to a frame of 60 per second.</summary>
    public bool IsSure => IsPlaced && Confidence >= SureFrom && ErrorSeconds <= SureErrorSeconds;

    /// <summary>What should be known about it, in sentences.</summary>
    public ImmutableArray<string> Doubts { get; init; } = [];

    /// <summary>The clip of the same camera that this one continues without a gap, or null.</summary>
    public string? Continues { get; init; }

    /// <summary>When it ends, in the shoot's time.</summary>
    public double EndSeconds => ShootTime(Clip.DurationSeconds);

    /// <summary>The shoot's time of a moment in the clip.</summary>
    public double ShootTime(double clipSeconds) => StartSeconds + (clipSeconds / (1 + (RatePpm * 1e-6)));

    /// <summary>The clip's time of a moment of the shoot.</summary>
    public double ClipTime(double shootSeconds) => (shootSeconds - StartSeconds) * (1 + (RatePpm * 1e-6));
}
