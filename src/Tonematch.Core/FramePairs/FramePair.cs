namespace Tonematch.FramePairs;

/// <summary>Two frames of one moment.</summary>
/// <param name="Primary">The primary's frame.</param>
/// <param name="Secondary">The secondary's frame nearest to the same moment.</param>
/// <param name="TimeErrorSeconds">How much later the secondary's frame is than the primary's moment, seconds; frames do not coincide at different rates.</param>
/// <param name="LightState">Number of the lighting state, counted from 1 in time order.</param>
/// <param name="Quality">Sharp, still and unclipped, 0..1, relative to the best of these clips.</param>
/// <param name="Why">One sentence for the report.</param>
public sealed record FramePair(
    FrameLook Primary, FrameLook Secondary, double TimeErrorSeconds, int LightState, double Quality, string Why);
