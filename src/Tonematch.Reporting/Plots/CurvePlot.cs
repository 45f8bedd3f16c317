using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;

namespace Tonematch.Reporting.Plots;

/// <summary>The tone curves of the correction: its effect on greys.</summary>
internal static class CurvePlot
{
    public static Html Of(ImmutableArray<CodeRgb> curves)
    {
        double low = Math.Min(0, curves.Min(c => Math.Min(c.R, Math.Min(c.G, c.B)))), high = Math.Max(1, curves.Max(c => Math.Max(c.R, Math.Max(c.G, c.B))));
        PlotFrame frame = new(342, (0, 100), (100 * low, 100 * high), "camera B as recorded, %", "corrected, %");
        Html Line(string look, Func<CodeRgb, double> of) => Html.Of(
            $"<path class=\"{look}\" d=\"M{string.Join('L', curves.Select((c, i) => string.Create(CultureInfo.InvariantCulture, $"{frame.X(100.0 * i / (curves.Length - 1)):0.##} {frame.Y(100 * of(c)):0.##}")))}\"/>");
        CodeRgb middle = curves[curves.Length / 2];
        return Figure.Of(
            "Curves",
            FormattableString.Invariant($"What the correction does to camera B's greys: where the three lines separate, a grey of camera B was not neutral. Mid grey (50 %) becomes {100 * middle.R:F0} % red, {100 * middle.G:F0} % green, {100 * middle.B:F0} % blue."),
            frame.Svg("curves", "Tone curves of the correction",
                FormattableString.Invariant($"Black becomes {100 * curves[0].R:F0}, {100 * curves[0].G:F0}, {100 * curves[0].B:F0} %; white becomes {100 * curves[^1].R:F0}, {100 * curves[^1].G:F0}, {100 * curves[^1].B:F0} %."),
                Html.Join([Html.Of($"<path class=\"ideal\" d=\"M{frame.X(0):0.#} {frame.Y(0):0.#}L{frame.X(100):0.#} {frame.Y(100):0.#}\"/>"), Line("red", c => c.R), Line("green", c => c.G), Line("blue", c => c.B)])),
            new("<li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"red\" d=\"M1 6H11\"/></svg> red</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"green\" d=\"M1 6H11\"/></svg> green</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"blue\" d=\"M1 6H11\"/></svg> blue</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"ideal\" d=\"M1 11L11 1\"/></svg> unchanged</li>"));
    }
}
