using System.Collections.Immutable;

namespace Tonematch.Formats.Timelines;

/// <summary>A clip on a timeline.</summary>
/// <param name="Name">Its display name.</param>
/// <param name="Url">The path of its file relative to the timeline's file, with '/' between folders, not encoded.</param>
/// <param name="StartSeconds">When it begins on the timeline, 0 or above.</param>
/// <param name="DurationSeconds">How long it runs by its own clock, above 0.</param>
/// <param name="FramesPerSecond">Its own rate, above 0; for a sound file, its samples per second.</param>
public sealed record TimelineClip(string Name, string Url, double StartSeconds, double DurationSeconds, double FramesPerSecond)
{
    /// <summary>The clip's own time at its first frame: its timecode in seconds, or 0.</summary>
    public double MediaStartSeconds { get; init; }

    /// <summary>How much faster its clock counts than the timeline's, parts per million.</summary>
    public double RatePpm { get; init; }

    /// <summary>Probability that its place is right, 0..1.</summary>
    public double Confidence { get; init; } = 1;

    /// <summary>The correction's file, relative to the timeline's file, or null.</summary>
    public string? Correction { get; init; }

    /// <summary>That file's SHA-256 in hexadecimal digits, or null.</summary>
    public string? CorrectionSha256 { get; init; }

    /// <summary>The file with the drift of its exposure and white balance, or null.</summary>
    public string? DriftTrack { get; init; }

    /// <summary>
    /// The parts with their own corrections, in time order and without gaps; empty if one correction serves the whole
    /// clip.
    /// </summary>
    public ImmutableArray<TimelineState> States { get; init; } = [];

    /// <summary>When it ends on the timeline.</summary>
    public double EndSeconds => StartSeconds + (DurationSeconds / (1 + (RatePpm * 1e-6)));
}
