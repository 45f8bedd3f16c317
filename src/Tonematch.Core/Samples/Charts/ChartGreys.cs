using Tonematch.Colour;
using Tonematch.Numerics;

namespace Tonematch.Samples.Charts;

/// <summary>What the grey patches of a chart say about the white balance of the one camera that shows it.</summary>
public static class ChartGreys
{
    // A patch this near to grey in the reference, as CIELAB chroma.
    private const double LargestChroma = 3;

    // Fewer greys than this say nothing: one may be stained, or glare.
    private const int FewestGreys = 3;

    /// <summary>
    /// By how many stops the greys are too light in red and in blue, against green and the chart's published colours:
    /// medians over the patches; null with fewer than three usable greys.
    /// </summary>
    /// <param name="chart">As the camera shows it.</param>
    /// <param name="reference">The chart.</param>
    public static (double Red, double Blue)? CastOf(ChartMeasurement chart, ChartReference reference)
    {
        ArgumentNullException.ThrowIfNull(chart);
        ArgumentNullException.ThrowIfNull(reference);
        (double Red, double Blue)[] casts =
        [
            .. from patch in chart.Patches
               where patch.Fault is null && reference.LabOf(patch.Index).Chroma <= LargestChroma
               let seen = Stops(patch.Colour, chart.Encoding)
               let known = Stops(reference.CodeOf(patch.Index, chart.Encoding), chart.Encoding)
               select (seen.Red - known.Red, seen.Blue - known.Blue),
        ];
        return casts.Length < FewestGreys ? null : (Median.Of(casts.Select(c => c.Red)), Median.Of(casts.Select(c => c.Blue)));
    }

    private static (double Red, double Blue) Stops(CodeRgb code, SignalEncoding encoding)
    {
        double green = Light(code.G);
        return (Math.Log2(Light(code.R) / green), Math.Log2(Light(code.B) / green));

        double Light(double value) => Math.Max(1e-4, encoding.ToScene(value));
    }
}
