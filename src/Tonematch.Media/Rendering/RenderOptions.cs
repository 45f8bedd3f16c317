using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Drift;

namespace Tonematch.Media.Rendering;

/// <summary>How a corrected clip is written.</summary>
public sealed record RenderOptions
{
    private readonly int? _quality;

    /// <summary>Codec; by default H.264 for 8-bit clips and H.265 for deeper ones.</summary>
    public RenderCodec Codec { get; init; } = RenderCodec.Automatic;

    /// <summary>
    /// Constant rate factor, 0 (largest file) to 40; by default 16 for H.264 and 18 for H.265, where the loss is hard
    /// to see.
    /// </summary>
    public int? Quality
    {
        get => _quality;
        init => _quality = value is null or (>= 0 and <= 40) ? value : throw new ArgumentOutOfRangeException(nameof(Quality), value, "The quality must be 0 to 40.");
    }

    /// <summary>What the corrected code values mean; the clip's own encoding when null.</summary>
    public SignalEncoding? OutputEncoding { get; init; }

    /// <summary>The course of the clip's exposure and white balance, taken out frame by frame before the correction; null for none.</summary>
    public DriftTrack? Drift { get; init; }

    /// <summary>
    /// Corrections in place of the one: each from its time until the next one's, the first from the beginning. In order of time;
    /// none: one for the whole clip.
    /// </summary>
    public ImmutableArray<TimedLut> States { get; init; } = [];

    /// <summary>Left the clip as it is, right as corrected, in one picture.</summary>
    public bool SideBySide { get; init; }

    /// <summary>Overwrite a file that stands at the place of the result.</summary>
    public bool Force { get; init; }
}
