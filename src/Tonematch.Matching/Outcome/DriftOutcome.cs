using Tonematch.Drift;

namespace Tonematch.Matching.Outcome;

/// <summary>A secondary whose exposure or white balance drifts, and what following the drift gains.</summary>
/// <param name="Track">The drift, on the secondary's own time line.</param>
/// <param name="Gain">What remains over the whole overlap with one constant correction, and with one that follows the drift.</param>
/// <param name="HeldOutShare">How much of the drift measured on half of the objects also shows in the other half, 0..1.</param>
public sealed record DriftOutcome(DriftTrack Track, DriftGain Gain, double HeldOutShare)
{
    /// <summary>Exposure drifts by a tenth of a stop or more.</summary>
    public bool IsExposure => Track.RangeStops >= 0.1;

    /// <summary>White balance drifts by 8 mired or more.</summary>
    public bool IsWhiteBalance => Track.RangeMired >= NamedMired;

    /// <summary>A difference of white balance from which on it is named, mired.</summary>
    internal const double NamedMired = 8;
}
