using System.Collections.Immutable;

namespace Tonematch.Media.Processes;

/// <summary>The state of FFmpeg on this machine, and what is missing.</summary>
public sealed record FfmpegFindings
{
    /// <summary>The path of ffmpeg; null if it was not found.</summary>
    public string? FfmpegPath { get; init; }

    /// <summary>The path of ffprobe; null if it, or ffmpeg, was not found.</summary>
    public string? FfprobePath { get; init; }

    /// <summary>FFmpeg's version in its own words; null if it did not state one.</summary>
    public string? Version { get; init; }

    /// <summary>A sentence on why the programs cannot be used at all; null if they can.</summary>
    public string? Fault { get; init; }

    /// <summary>Whether it is older than 4.4, the oldest version known to work.</summary>
    public bool IsTooOld { get; init; }

    /// <summary>Filters without which no clip can be read.</summary>
    public ImmutableArray<string> MissingForReading { get; init; } = [];

    /// <summary>Filters and encoders without which some clips cannot be written.</summary>
    public ImmutableArray<string> MissingForWriting { get; init; } = [];

    /// <summary>Whether clips can be read and written.</summary>
    public bool IsWhole => Fault is null && !IsTooOld && MissingForReading.IsEmpty && MissingForWriting.IsEmpty;
}
