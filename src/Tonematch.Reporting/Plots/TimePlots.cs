using System.Globalization;
using System.Text;
using Tonematch.Checking;
using Tonematch.Drift;

namespace Tonematch.Reporting.Plots;

/// <summary>The plots of a check over time: size of the differences, exposure and white balance.</summary>
internal static class TimePlots
{
    // Up to this many instants are marked individually, since nothing between them was examined.
    private const int MostMarked = 60;

    /// <summary>Mean and 95th percentile of Delta E, the tolerance, and the steps.</summary>
    public static Html DeltaE(CheckResult check, double width = 360, double height = 250, string id = "time")
    {
        double top = Math.Max(check.Tolerance * 1.3, check.OverTime.Max(i => i.DeltaE.Percentile95) * 1.1);
        PlotFrame frame = Frame(check, (0, top), "Delta E (CIEDE2000)", width, height);
        Column[] columns = Columns(check, frame, i => i.DeltaE.Mean);
        Column[] upper = Columns(check, frame, i => i.DeltaE.Percentile95);
        string band = $"M{string.Join('L', upper.Select(c => Point(c.X, frame.Y(c.Highest))))}L{string.Join('L', columns.Reverse().Select(c => Point(c.X, frame.Y(c.Lowest))))}z";
        Html limit = Html.Of($"<path class=\"ideal\" d=\"M{PlotFrame.Left} {frame.Y(check.Tolerance):0.#}H{frame.Right}\"/>");
        return frame.Svg(id, "Delta E over time",
            FormattableString.Invariant($"{check.OverTime.Length} instants from {frame.XRange.From:F1} to {frame.XRange.To:F1} s; mean over all {check.All.Mean:F2}, tolerance {check.Tolerance:0.##}."),
            Html.Join([Html.Of($"<path class=\"band\" d=\"{band}\"/>"), limit, Steps(check, frame), Line(columns, frame, "line"), Marks(check, columns, frame)]));
    }

    /// <summary>
    /// Exposure and white balance of the corrected secondary relative to the primary: at zero they agree.
    /// </summary>
    public static Html Light(CheckResult check, double width = 360, double height = 190, string id = "light")
    {
        IEnumerable<double> all = check.OverTime.SelectMany(i => new[] { i.ExposureStops, i.RedGreenStops, i.BlueGreenStops });
        double reach = Math.Max(0.25, all.Max(Math.Abs) * 1.15);
        PlotFrame frame = Frame(check, (-reach, reach), "stops", width, height);
        Html zero = Html.Of($"<path class=\"cross\" d=\"M{PlotFrame.Left} {frame.Y(0):0.#}H{frame.Right}\"/>");
        Html Curve(Func<InstantFigures, double> of, string look) => Line(Columns(check, frame, of), frame, look);
        return frame.Svg(id, "Exposure and white balance over time",
            "Light of camera B against camera A in stops: exposure, red against green, blue against green.",
            Html.Join([zero, Steps(check, frame), Curve(i => i.RedGreenStops, "red"), Curve(i => i.BlueGreenStops, "blue"), Curve(i => i.ExposureStops, "line")]));
    }

    /// <summary>Mean Delta E over time with one constant correction and with one that follows the drift.</summary>
    public static Html DriftGain(DriftGain gain, double width = 360, double height = 250)
    {
        PlotFrame frame = Frame(gain.OverTime[0].Seconds, gain.OverTime[^1].Seconds, "camera B", (0, Math.Max(1, gain.OverTime.Max(i => Math.Max(i.Constant, i.Following)) * 1.1)), "Delta E (CIEDE2000)", width, height);
        Html Curve(Func<DriftLeft, double> of, string look) => Html.Of($"<path class=\"{look}\" d=\"M{string.Join('L', gain.OverTime.Select(i => Point(frame.X(i.Seconds), frame.Y(of(i)))))}\"/>");
        return frame.Svg("gain", "What a constant and a following correction leave",
            FormattableString.Invariant($"Mean {gain.ConstantMean:F2} with a constant correction, {gain.FollowingMean:F2} with a following one."),
            Html.Join([Curve(i => i.Constant, "ideal"), Curve(i => i.Following, "line")]));
    }

    /// <summary>A drift: exposure in stops and white balance in hundreds of mired.</summary>
    public static Html DriftCourse(DriftTrack track, double width = 360, double height = 250)
    {
        double reach = Math.Max(0.25, track.Points.Max(p => Math.Max(Math.Abs(p.Value.Stops), Math.Abs(p.Value.Mired) / 100)) * 1.15);
        PlotFrame frame = Frame(track.Points[0].Seconds, track.Points[^1].Seconds, "camera B", (-reach, reach), "stops, 100 mired", width, height);
        Html zero = Html.Of($"<path class=\"cross\" d=\"M{PlotFrame.Left} {frame.Y(0):0.#}H{frame.Right}\"/>");
        Html Curve(Func<DriftPoint, double> of, string look) => Html.Of($"<path class=\"{look}\" d=\"M{string.Join('L', track.Points.Select(p => Point(frame.X(p.Seconds), frame.Y(of(p)))))}\"/>");
        return frame.Svg("course", "Exposure and white balance over time",
            FormattableString.Invariant($"Exposure moves by {track.RangeStops:F2} stop, white balance by {track.RangeMired:F0} mired."),
            Html.Join([zero, Curve(p => p.Value.Mired / 100, "red"), Curve(p => p.Value.Stops, "line")]));
    }

    private static PlotFrame Frame(CheckResult check, (double, double) y, string yTitle, double width, double height) =>
        Frame(check.OverTime[0].PrimarySeconds, check.OverTime[^1].PrimarySeconds, "camera A", y, yTitle, width, height);

    // A single instant is drawn in the middle of one second.
    private static PlotFrame Frame(double from, double to, string whose, (double, double) y, string yTitle, double width, double height) =>
        new(height, to > from ? (from, to) : (from - 0.5, from + 0.5), y, $"time in {whose}, s", yTitle) { Width = width, XTicks = (int)(width / 60), YTicks = height < 200 ? 4 : 6 };

    private static Html Steps(CheckResult check, PlotFrame frame) => Html.Each(check.Steps.Select((s, k) => (s, k)), s => Html.Of($"""
        <path class="step" d="M{frame.X(s.s.PrimarySeconds):0.#} {PlotFrame.Top}V{frame.Bottom}"/><text class="tick" x="{frame.X(s.s.PrimarySeconds) + 3:0.#}" y="{PlotFrame.Top + 9}">{s.k + 1}</text>
        """));

    private static Html Marks(CheckResult check, Column[] columns, PlotFrame frame) => Html.When(check.OverTime.Length <= MostMarked, () =>
        Html.Each(columns, c => Html.Of($"<circle class=\"instant\" cx=\"{c.X:0.##}\" cy=\"{frame.Y(c.Highest):0.##}\" r=\"2\"/>")));

    private static Html Line(Column[] columns, PlotFrame frame, string look)
    {
        StringBuilder path = new();
        foreach (Column c in columns)
        {
            path.Append(path.Length == 0 ? 'M' : 'L').Append(Point(c.X, frame.Y(c.Highest)));
            if (c.Lowest < c.Highest)
            {
                path.Append('L').Append(Point(c.X, frame.Y(c.Lowest)));
            }
        }

        return Html.Of($"<path class=\"{look}\" d=\"{path.ToString()}\"/>");
    }

    // Instants that fall on one place of the drawing are merged into their largest and smallest values, so that a
    // single bad frame in an hour remains visible.
    private static Column[] Columns(CheckResult check, PlotFrame frame, Func<InstantFigures, double> of) =>
    [
        .. check.OverTime.GroupBy(i => Math.Round(frame.X(i.PrimarySeconds) * 2))
            .Select(g => new Column(g.Average(i => frame.X(i.PrimarySeconds)), g.Min(of), g.Max(of))),
    ];

    private static string Point(double x, double y) => string.Create(CultureInfo.InvariantCulture, $"{x:0.##} {y:0.##}");

    private readonly record struct Column(double X, double Lowest, double Highest);
}
