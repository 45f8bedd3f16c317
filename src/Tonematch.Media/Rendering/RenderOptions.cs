using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Drift;

namespace Tonematch.Media.Rendering;

/// <summary>How a corrected clip is written.</summary>
public sealed record RenderOptions
{
    private readonly int? _quality;

    /// <summary>Codec; by default H.264 for 8-bit clips and H.265 for higher bit depths.</summary>
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

    /// <summary>The encoding of the corrected code values; null for the clip's own.</summary>
    public SignalEncoding? OutputEncoding { get; init; }

    /// <summary>
    /// The drift of the clip's exposure and white balance, removed frame by frame before the correction; null for none.
    /// </summary>
    public DriftTrack? Drift { get; init; }

    /// <summary>
    /// Corrections that replace the single one, in time order: each from its time until that of the next, the first
    /// from the beginning. Empty if one serves the whole clip.
    /// </summary>
    public ImmutableArray<TimedLut> States { get; init; } = [];

    /// <summary>
    /// Whether to show the recorded clip on the left and the corrected one on the right, in one picture.
    /// </summary>
    public bool SideBySide { get; init; }

    /// <summary>Whether to overwrite an existing file.</summary>
    public bool Force { get; init; }
}
