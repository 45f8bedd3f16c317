namespace Tonematch.Reporting.Plots;

/// <summary>
/// The frame of a plot: a rectangle in a view box 360 units wide by default, axes with round numbers, titles with
/// units. Small on purpose: its text is still readable on a phone.
/// </summary>
internal sealed class PlotFrame
{
    public const double Left = 46, Top = 10;

    public PlotFrame(double height, (double From, double To) x, (double From, double To) y, string xTitle, string yTitle)
    {
        (Height, XRange, YRange, XTitle, YTitle) = (height, x, y, xTitle, yTitle);
        Bottom = height - 38;
    }

    public double Width { get; init; } = 360;

    public double Height { get; }

    public double Right => Width - 10;

    public double Bottom { get; }

    public (double From, double To) XRange { get; }

    public (double From, double To) YRange { get; }

    public string XTitle { get; }

    public string YTitle { get; }

    /// <summary>Number of labels along x; fewer if they are long.</summary>
    public int XTicks { get; init; } = 7;

    public int YTicks { get; init; } = 6;

    public double X(double value) => Left + ((value - XRange.From) / (XRange.To - XRange.From) * (Right - Left));

    public double Y(double value) => Bottom - ((value - YRange.From) / (YRange.To - YRange.From) * (Bottom - Top));

    /// <summary>Grid, numbers and titles; draw the data after it.</summary>
    public Html Axes() => Html.Of($"""
        <g class="grid">{Html.Each(Round(XRange, XTicks), t => Html.Of($"<path d=\"M{X(t)} {Top}V{Bottom}\"/>"))}{Html.Each(Round(YRange, YTicks), t => Html.Of($"<path d=\"M{Left} {Y(t)}H{Right}\"/>"))}</g>
        <g class="tick" text-anchor="middle">{Html.Each(Round(XRange, XTicks), t => Html.Of($"<text x=\"{X(t)}\" y=\"{Bottom + 14}\">{Number(t)}</text>"))}</g>
        <g class="tick" text-anchor="end">{Html.Each(Round(YRange, YTicks), t => Html.Of($"<text x=\"{Left - 5}\" y=\"{Y(t) + 3.5}\">{Number(t)}</text>"))}</g>
        <text class="axis" x="{(Left + Right) / 2}" y="{Height - 5}" text-anchor="middle">{XTitle}</text>
        <text class="axis" transform="translate(11 {(Top + Bottom) / 2}) rotate(-90)" text-anchor="middle">{YTitle}</text>
        """);

    /// <summary>A whole drawing: a screen reader reads the title and description.</summary>
    public Html Svg(string id, string title, string description, Html content) => Html.Of($"""
        <svg viewBox="0 0 {Width} {Height}" role="img" aria-labelledby="{id}-t {id}-d"><title id="{id}-t">{title}</title><desc id="{id}-d">{description}</desc>
        {Axes()}
        {content}
        </svg>
        """);

    /// <summary>Round numbers within a range, at most about <paramref name="count"/>.</summary>
    public static IReadOnlyList<double> Round((double From, double To) range, int count)
    {
        double step = RoundStep((range.To - range.From) / count);
        List<double> ticks = [];
        for (double k = Math.Ceiling((range.From / step) - 1e-9); k * step <= range.To + (step * 1e-9); k++)
        {
            ticks.Add(k * step);
        }

        return ticks;
    }

    /// <summary>1, 2 or 5 times a power of ten, at least <paramref name="least"/>.</summary>
    public static double RoundStep(double least)
    {
        double power = Math.Pow(10, Math.Floor(Math.Log10(least)));
        double head = least / power;
        return power * (head <= 1 ? 1 : head <= 2 ? 2 : head <= 5 ? 5 : 10);
    }

    private static Html Number(double value) => Html.Of($"{(Math.Abs(value) < 1e-9 ? 0 : value):0.###}");
}
