namespace Tonematch.Media.Frames;

/// <summary>Which frames of a clip are streamed, and their size.</summary>
public sealed record FrameSequenceOptions
{
    private readonly int _maxSide = 480;
    private readonly double _minGapSeconds;
    private readonly double? _durationSeconds;
    private readonly double _fromSeconds;

    /// <summary>Longest side in pixels, at least 16; larger frames are scaled down by area averaging on Y'CbCr.</summary>
    public int MaxSide
    {
        get => _maxSide;
        init => _maxSide = value >= 16 ? value : throw new ArgumentOutOfRangeException(nameof(MaxSide), value, "The side must be at least 16 pixels.");
    }

    /// <summary>Only keyframes, as chosen by the camera's encoder: about ten times quicker than all frames.</summary>
    public bool KeyframesOnly { get; init; }

    /// <summary>
    /// Skips the deblocking filter in frames that no other frame is predicted from: 5 % quicker. In pictures of 480
    /// pixels a frame's mean changes by less than a hundredth of an 8-bit code.
    /// </summary>
    public bool LeavesBlockEdges { get; init; }

    /// <summary>Smallest distance between frames, seconds; 0 returns every frame.</summary>
    public double MinGapSeconds
    {
        get => _minGapSeconds;
        init => _minGapSeconds = value >= 0 && double.IsFinite(value) ? value : throw new ArgumentOutOfRangeException(nameof(MinGapSeconds), value, "The distance must be 0 or more.");
    }

    /// <summary>First instant on the clip's time line, in seconds.</summary>
    public double FromSeconds
    {
        get => _fromSeconds;
        init => _fromSeconds = double.IsFinite(value) ? value : throw new ArgumentOutOfRangeException(nameof(FromSeconds), value, "The start must be a finite number.");
    }

    /// <summary>Duration to read, seconds, above 0; null reads to the end.</summary>
    public double? DurationSeconds
    {
        get => _durationSeconds;
        init => _durationSeconds = value is null or > 0 ? value : throw new ArgumentOutOfRangeException(nameof(DurationSeconds), value, "The duration must be above 0.");
    }
}
