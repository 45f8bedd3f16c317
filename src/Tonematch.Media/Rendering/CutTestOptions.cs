namespace Tonematch.Media.Rendering;

/// <summary>How a cut test is made: primary and corrected secondary in turn.</summary>
public sealed record CutTestOptions
{
    /// <summary>Shortest time between two cuts: 3 changes a second is the limit for viewers who are sensitive to
    /// flashes (ITU-R BT.1702).</summary>
    public const double MinEverySeconds = 1.0 / 3;

    private readonly double _everySeconds = 2;
    private readonly double _durationSeconds = 24;
    private readonly int _maxSide = 1920;

    /// <summary>Where it begins on the primary's time line, in seconds; null takes the middle of what both saw.</summary>
    public double? StartSeconds { get; init; }

    /// <summary>How long it is, in seconds; cut to what both saw.</summary>
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

    /// <summary>For a page: people wait for it, so the encoder hurries, and a picture that is seen small takes fewer bytes.</summary>
    public bool ForPage { get; init; }

    /// <summary>Overwrite a file that stands at the place of the result.</summary>
    public bool Force { get; init; }
}
