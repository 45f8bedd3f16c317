namespace Tonematch.Sync;

/// <summary>The figures a synchronisation was decided from; those that do not apply are 0.</summary>
public sealed record SyncEvidence
{
    /// <summary>How long both recordings run together at this offset, seconds.</summary>
    public double OverlapSeconds { get; init; }

    /// <summary>Where the overlap begins on the primary's time line, seconds.</summary>
    public double OverlapStartSeconds { get; init; }

    /// <summary>Stretches of the overlap that were compared.</summary>
    public int Windows { get; init; }

    /// <summary>How many of them, each by itself, put the offset within 2 ms of the common line.</summary>
    public int AgreeingWindows { get; init; }

    /// <summary>Height of the best peak over what chance gives, in standard deviations of chance.</summary>
    public double PeakOverChance { get; init; }

    /// <summary>Height of the peak when all windows are added up with their signs, over what chance gives.</summary>
    public double PooledOverChance { get; init; }

    /// <summary><see cref="PooledOverChance"/> from the first and from the last windows alone, the lower of both.</summary>
    public double HalvesOverChance { get; init; }

    /// <summary>Height of the next best offset relative to the best one, 0..1; near 1: two offsets fit alike.</summary>
    public double NextBest { get; init; }

    /// <summary>The next best offset, seconds (at primary time 0), or null when there was none.</summary>
    public double? NextBestOffsetSeconds { get; init; }

    /// <summary>Standard error of the offset in the middle of the overlap, seconds.</summary>
    public double OffsetErrorSeconds { get; init; }

    /// <summary>Standard error of the measured drift, ppm; 0 when it was not measured.</summary>
    public double DriftErrorPpm { get; init; }

    /// <summary>Spread of the single stretches around the line (median absolute residual), seconds.</summary>
    public double ResidualSeconds { get; init; }

    /// <summary>The part of the offset that is sound travel by the given distances, already taken out, seconds.</summary>
    public double SoundTravelSeconds { get; init; }
}
