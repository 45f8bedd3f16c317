using System.Globalization;
using Tonematch.Drift;
using Tonematch.Samples.Charts;

namespace Tonematch.Matching.Words;

/// <summary>What a chart that only one camera shows still tells.</summary>
public static class ChartWords
{
    // Ten mired, and a tenth of a stop of green, can just be seen.
    private const double SeenMired = 10;
    private const double SeenGreen = 0.1;

    /// <summary>Sentences: which camera shows it, what its greys say of that camera, and what to do next time.</summary>
    /// <param name="camera">'A' or 'B'.</param>
    /// <param name="seconds">When it shows it, in its own clip.</param>
    /// <param name="chart">As it shows it.</param>
    /// <param name="reference">The chart.</param>
    public static string OnlyOne(string camera, double seconds, ChartMeasurement chart, ChartReference reference) => string.Create(
        CultureInfo.InvariantCulture,
        $"Only camera {camera} shows the chart (at {seconds:0.0} s of its clip). {Greys(camera, chart, reference)}Show it to both cameras, at once or one after the other in the same light, for a more reliable match.");

    private static string Greys(string camera, ChartMeasurement chart, ChartReference reference)
    {
        if (ChartGreys.CastOf(chart, reference) is not (double red, double blue))
        {
            return "";
        }

        DriftValue cast = DriftValue.FromChannelStops(red, 0, blue);
        string[] casts =
        [
            .. Math.Abs(cast.Mired) >= SeenMired ? [string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(cast.Mired):0} mired too {(cast.Mired > 0 ? "warm" : "cool")}")] : (string[])[],
            .. Math.Abs(cast.GreenMagenta) >= SeenGreen ? [string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(cast.GreenMagenta):0.0#} stop too {(cast.GreenMagenta > 0 ? "green" : "magenta")}")] : (string[])[],
        ];
        string carried = camera == "A" ? ", and the match carries that over to camera B" : "";
        return casts.Length == 0
            ? $"Its greys are neutral there: camera {camera}'s own white balance fits that light. "
            : $"By its greys, camera {camera}'s own white balance is {string.Join(" and ", casts)} for that light{carried}. ";
    }
}
