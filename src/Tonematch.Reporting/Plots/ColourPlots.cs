using Tonematch.Colour;

namespace Tonematch.Reporting.Plots;

/// <summary>The samples in CIELAB, before and after.</summary>
internal static class ColourPlots
{
    private const int MostDrawn = 160;

    /// <summary>
    /// The a*b* plane: an arrow from each recorded colour to the corrected one, and the primary's colour as the target.
    /// </summary>
    public static Html HueAndChroma(ReportModel model)
    {
        (ReportPair Pair, Lab P, Lab S, Lab C)[] all = [.. Drawn(model)];
        double reach = Math.Max(20, all.SelectMany(d => new[] { d.P.A, d.P.B, d.S.A, d.S.B, d.C.A, d.C.B }).Max(Math.Abs) * 1.08);
        PlotFrame frame = new(342, (-reach, reach), (-reach, reach), "a*  (green to magenta)", "b*  (blue to yellow)");
        Html arrows = Html.Each(all, d =>
        {
            double x1 = frame.X(d.S.A), y1 = frame.Y(d.S.B), x2 = frame.X(d.C.A), y2 = frame.Y(d.C.B);
            double dx = x2 - x1, dy = y2 - y1, length = Math.Sqrt((dx * dx) + (dy * dy));
            // The arrowhead is drawn before the dot at the end; without room for it, only the line is drawn.
            Html head = length < 11 ? Html.None : Html.Of(
                $"<path class=\"head\" d=\"M{x2 - (4.2 * dx / length):0.#} {y2 - (4.2 * dy / length):0.#}L{x2 - (((9.5 * dx) + (2.6 * dy)) / length):0.#} {y2 - (((9.5 * dy) - (2.6 * dx)) / length):0.#}L{x2 - (((9.5 * dx) - (2.6 * dy)) / length):0.#} {y2 - (((9.5 * dy) + (2.6 * dx)) / length):0.#}z\"/>");
            return Html.Of($"<path class=\"arrow\" d=\"M{x1:0.#} {y1:0.#}L{x2:0.#} {y2:0.#}\"/>{head}<path class=\"square\" d=\"M{x1 - 2:0.#} {y1 - 2:0.#}h4v4h-4z\"/>");
        });
        Html ends = Html.Each(all, d => Html.Of($"<circle class=\"dot\" cx=\"{frame.X(d.C.A):0.#}\" cy=\"{frame.Y(d.C.B):0.#}\" r=\"3.4\" fill=\"{PageColour.Hex(d.Pair.Corrected, model.Encoding)}\"/>"));
        Html targets = Html.Each(all, d => Html.Of($"<circle class=\"ring\" cx=\"{frame.X(d.P.A):0.#}\" cy=\"{frame.Y(d.P.B):0.#}\" r=\"5.6\"/>"));
        double before = all.Average(d => Distance(d.P, d.S)), after = all.Average(d => Distance(d.P, d.C));
        string reading = after < before
            ? "Every arrow should end inside its ring: there the corrected colour has camera A's hue and strength. Its length is how far the correction moved the colour."
            : "Arrows that do not end in their rings show colours the correction does not bring home.";
        Html cross = Html.Of($"<path class=\"cross\" d=\"M{frame.X(0)} {PlotFrame.Top}V{frame.Bottom}M{PlotFrame.Left} {frame.Y(0)}H{frame.Right}\"/>");
        return Figure.Of(
            "Hue and chroma", reading,
            frame.Svg("ab", "a*b* plot of the compared colours",
                FormattableString.Invariant($"{all.Length} colours. Mean distance to camera A in the a*b* plane: {before:F1} as recorded, {after:F1} corrected."),
                Html.Join([cross, arrows, targets, ends])),
            Html.Join([Figure.PrimaryKey, Figure.SecondaryKey, Figure.CorrectedKey]));
    }

    /// <summary>The secondary's lightness plotted against the primary's, before and after.</summary>
    public static Html Lightness(ReportModel model)
    {
        (ReportPair Pair, Lab P, Lab S, Lab C)[] all = [.. Drawn(model)];
        double top = Math.Max(100, all.Max(d => Math.Max(d.P.L, Math.Max(d.S.L, d.C.L))));
        PlotFrame frame = new(342, (0, top), (0, top), "L* of camera A", "L* of camera B");
        Html line = Html.Of($"<path class=\"ideal\" d=\"M{frame.X(0)} {frame.Y(0)}L{frame.X(top)} {frame.Y(top)}\"/>");
        Html before = Html.Each(all, d => Html.Of($"<path class=\"square\" d=\"M{frame.X(d.P.L) - 2.5:0.#} {frame.Y(d.S.L) - 2.5:0.#}h5v5h-5z\"/>"));
        Html after = Html.Each(all, d => Html.Of($"<circle class=\"dot\" cx=\"{frame.X(d.P.L):0.#}\" cy=\"{frame.Y(d.C.L):0.#}\" r=\"3.2\" fill=\"{PageColour.Hex(d.Pair.Corrected, model.Encoding)}\"/>"));
        double b = all.Average(d => d.S.L - d.P.L), a = all.Average(d => d.C.L - d.P.L);
        double spread = Math.Sqrt(all.Average(d => (d.C.L - d.P.L) * (d.C.L - d.P.L)));
        return Figure.Of(
            "Lightness",
            FormattableString.Invariant($"On the diagonal both are equally light. As recorded camera B is {Math.Abs(b):F1} L* {(b < 0 ? "darker" : "lighter")} on average; corrected it is off by {spread:F1} L* (root mean square)."),
            frame.Svg("lightness", "Lightness of camera B against camera A",
                FormattableString.Invariant($"{all.Length} colours. Mean difference in L*: {b:+0.0;-0.0;0.0} as recorded, {a:+0.0;-0.0;0.0} corrected."),
                Html.Join([line, before, after])),
            Html.Join([Figure.SecondaryKey, Figure.CorrectedKey, new("<li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"ideal\" d=\"M1 11L11 1\"/></svg> equal</li>")]));
    }

    private static double Distance(Lab x, Lab y) => Math.Sqrt(((x.A - y.A) * (x.A - y.A)) + ((x.B - y.B) * (x.B - y.B)));

    // With very many pairs only every n-th is drawn: more would hide more than they show.
    private static IEnumerable<(ReportPair Pair, Lab P, Lab S, Lab C)> Drawn(ReportModel model)
    {
        int step = Math.Max(1, (int)Math.Ceiling(model.Pairs.Length / (double)MostDrawn));
        for (int i = 0; i < model.Pairs.Length; i += step)
        {
            ReportPair p = model.Pairs[i];
            yield return (p, model.Encoding.ToLab(p.Primary), model.SecondaryEncoding.ToLab(p.Secondary), model.Encoding.ToLab(p.Corrected));
        }
    }
}
