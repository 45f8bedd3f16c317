using Tonematch.Drift;

namespace Tonematch.Matching.Outcome;

/// <summary>A secondary whose exposure or white balance wanders, and what following it gains.</summary>
/// <param name="Track">The course, on the secondary's own time line.</param>
/// <param name="Gain">What one constant correction leaves and what the following one leaves, over the whole overlap.</param>
/// <param name="HeldOutShare">How much of the course, found from half of the things, the other half shows: 0..1.</param>
public sealed record DriftOutcome(DriftTrack Track, DriftGain Gain, double HeldOutShare)
{
    /// <summary>Exposure wanders by a tenth of a stop or more.</summary>
    public bool IsExposure => Track.RangeStops >= 0.1;

    /// <summary>White balance wanders by 8 mired or more.</summary>
    public bool IsWhiteBalance => Track.RangeMired >= 8;
}
