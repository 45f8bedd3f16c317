namespace Tonematch.Sync;

/// <summary>Prior knowledge and limits for synchronisation.</summary>
public sealed record SyncOptions
{
    /// <summary>
    /// Largest difference between the two clocks that is searched for, parts per million, 0..2000. 300 covers every
    /// healthy recorder (below 100); a clip that plays 24 frames as 23.976 differs by 1000.
    /// </summary>
    public double MaximumDriftPpm { get; init; } = 300;

    /// <summary>Confidence (0..1) below which the result is a refusal. Calibrated in docs/sync-accuracy.md.</summary>
    public double MinimumConfidence { get; init; } = 0.9;

    /// <summary>Distance from the subject to the primary's microphone, metres, 0 or more; null if unknown.</summary>
    public double? PrimaryMicDistanceMetres { get; init; }

    /// <summary>Distance from the subject to the secondary's microphone, metres, 0 or more; null if unknown.</summary>
    public double? SecondaryMicDistanceMetres { get; init; }

    /// <summary>Length of one frame of the slower clip, seconds: the unit for the drift warning.</summary>
    public double FrameSeconds { get; init; } = 1 / 25.0;

    /// <exception cref="ArgumentOutOfRangeException">A value is outside its range.</exception>
    internal void Check()
    {
        Check(MaximumDriftPpm is >= 0 and <= 2000, nameof(MaximumDriftPpm), MaximumDriftPpm, "0 to 2000 ppm");
        Check(MinimumConfidence is >= 0 and <= 1, nameof(MinimumConfidence), MinimumConfidence, "0 to 1");
        Check(FrameSeconds is > 0 and <= 10, nameof(FrameSeconds), FrameSeconds, "above 0 and up to 10 seconds");
        Check(PrimaryMicDistanceMetres is null or (>= 0 and <= 10000), nameof(PrimaryMicDistanceMetres), PrimaryMicDistanceMetres, "0 to 10000 metres");
        Check(SecondaryMicDistanceMetres is null or (>= 0 and <= 10000), nameof(SecondaryMicDistanceMetres), SecondaryMicDistanceMetres, "0 to 10000 metres");
    }

    private static void Check(bool allowed, string name, double? value, string range)
    {
        if (!allowed)
        {
            throw new ArgumentOutOfRangeException(name, value, $"Allowed: {range}.");
        }
    }
}
