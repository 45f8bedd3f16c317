using System.Collections.Immutable;

namespace Tonematch.FramePairs;

/// <summary>The number of frame pairs wanted and the criteria for good ones.</summary>
public sealed record FramePairOptions
{
    /// <summary>Largest number of pairs to choose, 1 or more.</summary>
    public int Count { get; init; } = 12;

    /// <summary>Times in the primary given by hand, seconds; if there are any, exactly these are used.</summary>
    public ImmutableArray<double> AtSeconds { get; init; } = [];

    /// <summary>
    /// Largest distance of the secondary's frame from the moment, seconds; half a frame at 23.976 frames per second.
    /// </summary>
    public double MaximumTimeErrorSeconds { get; init; } = 0.0210;

    /// <summary>Smallest distance between pairs, seconds.</summary>
    public double SpacingSeconds { get; init; } = 0.5;

    /// <summary>Largest share of clipped pixels in either frame, 0..1 (common practice).</summary>
    public double MaximumClippedShare { get; init; } = 0.25;

    /// <summary>Largest share of black pixels in either frame, 0..1 (common practice).</summary>
    public double MaximumDarkShare { get; init; } = 0.7;

    /// <summary>Smallest sharpness relative to the clip's median (common practice).</summary>
    public double MinimumSharpness { get; init; } = 0.5;

    /// <summary>Largest motion, code values, unless most of the clip moves more (common practice).</summary>
    public double MaximumMotion { get; init; } = 0.03;

    /// <summary>
    /// A difference of either clip's mean CIELAB above this is a different lighting state (common practice).
    /// </summary>
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
