using System.Collections.Immutable;

namespace Tonematch.FramePairs;

/// <summary>How many frame pairs are wanted and what a good one is.</summary>
public sealed record FramePairOptions
{
    /// <summary>Most pairs to choose, 1 or more.</summary>
    public int Count { get; init; } = 12;

    /// <summary>Times in the primary given by hand, seconds; when there are any, exactly these are taken.</summary>
    public ImmutableArray<double> AtSeconds { get; init; } = [];

    /// <summary>Largest distance of the secondary's frame from the moment, seconds; half a frame at 23.976 a second.</summary>
    public double MaximumTimeErrorSeconds { get; init; } = 0.0210;

    /// <summary>Pairs are at least this far apart, seconds.</summary>
    public double SpacingSeconds { get; init; } = 0.5;

    /// <summary>Largest share of clipped pixels in either frame, 0..1 (common practice).</summary>
    public double MaximumClippedShare { get; init; } = 0.25;

    /// <summary>Largest share of black pixels in either frame, 0..1 (common practice).</summary>
    public double MaximumDarkShare { get; init; } = 0.7;

    /// <summary>Smallest sharpness relative to the clip's median (common practice).</summary>
    public double MinimumSharpness { get; init; } = 0.5;

    /// <summary>Largest motion, code values, unless most of the clip moves more (common practice).</summary>
    public double MaximumMotion { get; init; } = 0.03;

    /// <summary>Mean CIELAB of either clip that differs by more than this is another lighting state (common practice).</summary>
    public double LightStateDeltaE { get; init; } = 6;

    internal void Check()
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(Count, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(MaximumTimeErrorSeconds);
        ArgumentOutOfRangeException.ThrowIfNegative(SpacingSeconds);
        ArgumentOutOfRangeException.ThrowIfNegative(MaximumClippedShare);
        ArgumentOutOfRangeException.ThrowIfNegative(MaximumDarkShare);
        ArgumentOutOfRangeException.ThrowIfNegative(MinimumSharpness);
        ArgumentOutOfRangeException.ThrowIfNegative(MaximumMotion);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(LightStateDeltaE);
    }
}
