using Tonematch.Colour;

namespace Tonematch.Drift;

/// <summary>How a camera's light differs at one moment from its usual value.</summary>
/// <param name="Stops">Exposure, stops; above 0 is too light.</param>
/// <param name="Mired">White balance, mired; above 0 is too warm.</param>
/// <param name="GreenMagenta">Green against the mean of red and blue, stops; above 0 is too green, below 0 too magenta.</param>
/// <remarks>
/// Linear in the logarithms of the channels' light, so that values can be added, averaged and interpolated. Exposure is
/// weighted like BT.709 luminance, which for a grey is its change of luminance to first order; one mired is its effect
/// on the ratio of red to blue from D65 to D55 (chromaticities and temperatures of CIE 15:2004) in BT.709 primaries.
/// </remarks>
public readonly record struct DriftValue(double Stops, double Mired, double GreenMagenta)
{
    private const double Red = 0.2126, Green = 0.7152, Blue = 0.0722;

    private static readonly double s_redOverBluePerMired = RedOverBluePerMired();

    /// <summary>No difference.</summary>
    public static DriftValue None => default;

    /// <summary>From the stops by which each channel's light is above its usual value.</summary>
    public static DriftValue FromChannelStops(double red, double green, double blue) => new(
        (Red * red) + (Green * green) + (Blue * blue), (red - blue) / s_redOverBluePerMired, green - ((red + blue) / 2));

    /// <summary>The stops by which each channel's light is above its usual value.</summary>
    public (double Red, double Green, double Blue) ToChannelStops()
    {
        double warm = s_redOverBluePerMired * Mired;
        double mean = Stops - (Green * GreenMagenta) - ((Red - Blue) / 2 * warm);
        return (mean + (warm / 2), mean + GreenMagenta, mean - (warm / 2));
    }

    /// <summary>The factors on linear light that remove the difference.</summary>
    public (double Red, double Green, double Blue) UndoingGains()
    {
        (double r, double g, double b) = ToChannelStops();
        return (Math.Pow(2, -r), Math.Pow(2, -g), Math.Pow(2, -b));
    }

    /// <summary>A colour with the difference removed.</summary>
    /// <param name="code">Code values that contain the difference.</param>
    /// <param name="encoding">What they mean.</param>
    public CodeRgb TakeOutOf(CodeRgb code, SignalEncoding encoding)
    {
        ArgumentNullException.ThrowIfNull(encoding);
        (double r, double g, double b) = UndoingGains();
        return new CodeRgb(
            encoding.FromScene(encoding.ToScene(code.R) * r), encoding.FromScene(encoding.ToScene(code.G) * g), encoding.FromScene(encoding.ToScene(code.B) * b));
    }

    /// <summary>Both differences together.</summary>
    public DriftValue Plus(DriftValue other) => new(Stops + other.Stops, Mired + other.Mired, GreenMagenta + other.GreenMagenta);

    /// <summary>Interpolates between two values; 0 gives the first and 1 the second.</summary>
    public static DriftValue Between(DriftValue first, DriftValue second, double share) => new(
        first.Stops + (share * (second.Stops - first.Stops)), first.Mired + (share * (second.Mired - first.Mired)),
        first.GreenMagenta + (share * (second.GreenMagenta - first.GreenMagenta)));

    private static double RedOverBluePerMired()
    {
        Chromaticity d55 = new(0.33242, 0.34743);
        (double r, _, double b) = SignalEncoding.Bt709.XyzToRgb.Times(d55.X / d55.Y, 1, (1 - d55.X - d55.Y) / d55.Y);
        return Math.Log2(r / b) / ((1e6 / 5503) - (1e6 / 6504));
    }
}
