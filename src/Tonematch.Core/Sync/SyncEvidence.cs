namespace Tonematch.Sync;

/// <summary>The figures behind a synchronisation; those that do not apply are 0.</summary>
public sealed record SyncEvidence
{
    /// <summary>The length of the overlap at this offset, seconds.</summary>
    public double OverlapSeconds { get; init; }

    /// <summary>Start of the overlap on the primary's time line, seconds.</summary>
    public double OverlapStartSeconds { get; init; }

    /// <summary>The number of windows of the overlap that were compared.</summary>
    public int Windows { get; init; }

    /// <summary>How many of them individually put the offset within 2 ms of the common line.</summary>
    public int AgreeingWindows { get; init; }

    /// <summary>Height of the best peak above chance, in standard deviations of chance.</summary>
    public double PeakOverChance { get; init; }

    /// <summary>Height of the peak of the signed sum of all windows above chance, in standard deviations.</summary>
    public double PooledOverChance { get; init; }

    /// <summary>
    /// <see cref="PooledOverChance"/> from the first and from the last windows alone, the lower of the two.
    /// </summary>
    public double HalvesOverChance { get; init; }

    /// <summary>
    /// Height of the next best offset relative to the best one, 0..1; near 1 means that two offsets fit equally well.
    /// </summary>
    public double NextBest { get; init; }

    /// <summary>The next best offset, seconds (at primary time 0), or null when there was none.</summary>
    public double? NextBestOffsetSeconds { get; init; }

    /// <summary>Standard error of the offset in the middle of the overlap, seconds.</summary>
    public double OffsetErrorSeconds { get; init; }

    /// <summary>Standard error of the measured drift, ppm; 0 if not measured.</summary>
    public double DriftErrorPpm { get; init; }

    /// <summary>Spread of the single windows around the line (median absolute residual), seconds.</summary>
    public double ResidualSeconds { get; init; }

    /// <summary>
    /// The part of the offset due to sound travel over the given distances, already removed, seconds.
    /// </summary>
    public double SoundTravelSeconds { get; init; }
}
