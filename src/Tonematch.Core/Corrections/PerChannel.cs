namespace Tonematch.Corrections;

/// <summary>One number for each of red, green and blue: a slope, a gamma, a gain. Without a unit.</summary>
/// <param name="R">For red.</param>
/// <param name="G">For green.</param>
/// <param name="B">For blue.</param>
public readonly record struct PerChannel(double R, double G, double B)
{
    /// <summary>The same number for all three.</summary>
    public static PerChannel All(double value) => new(value, value, value);

    /// <summary>The number of channel 0 (red), 1 (green) or 2 (blue).</summary>
    public double this[int channel] => channel switch
    {
        0 => R,
        1 => G,
        2 => B,
        _ => throw new ArgumentOutOfRangeException(nameof(channel), channel, "A channel is 0, 1 or 2."),
    };

    internal static PerChannel Checked(PerChannel value, string name, bool aboveZero, bool zeroAllowed = true)
    {
        for (int c = 0; c < 3; c++)
        {
            double v = value[c];
            if (!double.IsFinite(v) || (aboveZero && !(zeroAllowed ? v >= 0 : v > 0)))
            {
                string allowed = !aboveZero ? "finite" : zeroAllowed ? "finite and 0 or more" : "finite and above 0";
                throw new ArgumentException($"Each {name} must be {allowed}, not {v}.", name);
            }
        }

        return value;
    }
}
