using System.Collections.Immutable;

namespace Tonematch.Media.Processes;

/// <summary>What of FFmpeg is on this machine, and what is missing.</summary>
public sealed record FfmpegFindings
{
    /// <summary>Where ffmpeg is; null when it was not found.</summary>
    public string? FfmpegPath { get; init; }

    /// <summary>Where ffprobe is; null when it, or ffmpeg, was not found.</summary>
    public string? FfprobePath { get; init; }

    /// <summary>FFmpeg's version in its own words; null when it did not say one.</summary>
    public string? Version { get; init; }

    /// <summary>A sentence why the programs cannot be used at all; null when they can.</summary>
    public string? Fault { get; init; }

    /// <summary>Older than 4.4, the oldest that is known to do.</summary>
    public bool IsTooOld { get; init; }

    /// <summary>Filters without which no clip can be read.</summary>
    public ImmutableArray<string> MissingForReading { get; init; } = [];

    /// <summary>Filters and encoders without which some clips cannot be written.</summary>
    public ImmutableArray<string> MissingForWriting { get; init; } = [];

    /// <summary>Clips can be read and written.</summary>
    public bool IsWhole => Fault is null && !IsTooOld && MissingForReading.IsEmpty && MissingForWriting.IsEmpty;
}
