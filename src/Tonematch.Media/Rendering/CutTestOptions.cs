using Tonematch.Drift;

namespace Tonematch.Media.Rendering;

/// <summary>Options of a cut test, which shows primary and corrected secondary in turn.</summary>
public sealed record CutTestOptions
{
    /// <summary>Shortest time between two cuts: 3 changes a second is the limit for viewers who are sensitive to
    /// flashes (ITU-R BT.1702).</summary>
    public const double MinEverySeconds = 1.0 / 3;

    private readonly double _everySeconds = 2;
    private readonly double _durationSeconds = 24;
    private readonly int _maxSide = 1920;

    /// <summary>Start on the primary's time line, seconds; null for the middle of the overlap.</summary>
    public double? StartSeconds { get; init; }

    /// <summary>Duration, seconds; limited to the overlap.</summary>
    public double DurationSeconds
    {
        get => _durationSeconds;
        init => _durationSeconds = value > 0 ? value : throw new ArgumentOutOfRangeException(nameof(DurationSeconds), value, "The duration must be above 0.");
    }

    /// <summary>Seconds from one cut to the next, at least a third.</summary>
    public double EverySeconds
    {
        get => _everySeconds;
        init => _everySeconds = value >= MinEverySeconds ? value
            : throw new ArgumentOutOfRangeException(nameof(EverySeconds), value, "More than 3 changes a second can harm viewers who are sensitive to flashes (ITU-R BT.1702).");
    }

    /// <summary>Longest side in pixels; larger primaries are scaled down.</summary>
    public int MaxSide
    {
        get => _maxSide;
        init => _maxSide = value >= 16 ? value : throw new ArgumentOutOfRangeException(nameof(MaxSide), value, "The side must be at least 16 pixels.");
    }

    /// <summary>
    /// Whether it is for a page: faster encoding, because people wait for it, and fewer bytes, because it is shown
    /// small.
    /// </summary>
    public bool ForPage { get; init; }

    /// <summary>The secondary's drift of exposure and white balance, removed before the LUT; null for none.</summary>
    public DriftTrack? Drift { get; init; }

    /// <summary>Whether to overwrite an existing file.</summary>
    public bool Force { get; init; }
}
