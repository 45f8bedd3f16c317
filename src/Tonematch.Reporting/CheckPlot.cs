using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Tonematch.Matching;
using Tonematch.Matching.Words;
using Tonematch.Reporting.Plots;

namespace Tonematch.Reporting;

/// <summary>
/// A check as one SVG drawing: Delta E over time, light over time, zones, and the steps in words. It is self-contained
/// and opens in any browser.
/// </summary>
public static class CheckPlot
{
    private const double Width = 760, Left = 20, Inner = Width - (2 * Left), LineHeight = 17;
    private const int CharactersALine = 98;

    // Plain colours where the report uses variables, which not every SVG viewer supports.
    private const string Style = """
        svg{font-family:system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans",sans-serif;fill:#1b1b1b}
        .paper{fill:#fff}.grid path{stroke:#c9c9c5;stroke-width:.6;fill:none}.tick{fill:#5a5a58;font-size:10.5px}.axis{font-size:11px}
        .title{font-size:17px;font-weight:600}.head{font-size:14px;font-weight:600}.text{font-size:12.5px}.soft{font-size:12px;fill:#5a5a58}
        .band{fill:#5a5a58;fill-opacity:.33}.line{fill:none;stroke:#1b1b1b;stroke-width:1.6;stroke-linejoin:round}.instant{fill:#1b1b1b}
        .ideal{stroke:#1b1b1b;stroke-dasharray:4 3;fill:none}.cross{stroke:#5a5a58;stroke-width:.9;fill:none}.step{stroke:#1b1b1b;stroke-dasharray:1.5 2.5;fill:none}
        .red{stroke:#b03a2c}.blue{stroke:#3560b8}.red,.blue{fill:none;stroke-width:1.3;stroke-linejoin:round}.bar{fill:#5a5a58}.end{stroke:#1b1b1b;stroke-width:1.4;fill:none}
        @media (prefers-color-scheme:dark){svg{fill:#ececea}.paper{fill:#1a1a1a}.grid path{stroke:#484846}.tick,.soft{fill:#a9a9a6}.band,.bar{fill:#a9a9a6}.line,.ideal,.step,.end{stroke:#ececea}.instant{fill:#ececea}.cross{stroke:#a9a9a6}.red{stroke:#e27a6c}.blue{stroke:#86a9f0}}
        """;

    /// <summary>The drawing as the text of an .svg file. Pure: the same check gives the same text.</summary>
    /// <param name="check">The result of the check.</param>
    /// <param name="primary">The primary's file name.</param>
    /// <param name="secondary">The secondary's file name.</param>
    /// <param name="correction">The file name of the applied correction; null for the clips as recorded.</param>
    /// <param name="lookedAt">The number of instants examined.</param>
    public static string Svg(CheckResult check, string primary, string secondary, string? correction, int lookedAt)
    {
        ArgumentNullException.ThrowIfNull(check);
        string what = $"{Short(secondary)}{(correction is null ? " as it is" : $" through {Short(correction)}")} against {Short(primary)}";
        Sheet sheet = new(36);
        foreach (string line in Wrapped(Verdict(check), 62))
        {
            sheet.Add(Html.Of($"<text class=\"title\" x=\"{Left}\" y=\"{sheet.Y}\">{line}</text>"), 24);
        }

        sheet.Lines(Wrapped(FormattableString.Invariant($"{what}, {check.OverTime.Length} of {lookedAt} instants. {ProgramVersion.Text}."), CharactersALine), "soft");
        sheet.Skip(14);

        sheet.Head("Delta E over time");
        sheet.Legend(
        [
            ("<path class=\"line\" d=\"M0 6H22\"/>", "mean of an instant's colours"),
            ("<path class=\"band\" d=\"M0 1H22V11H0z\"/>", "95 % of them stay below"),
            ("<path class=\"ideal\" d=\"M0 6H22\"/>", FormattableString.Invariant($"tolerance {check.Tolerance:0.##}")),
            .. check.Steps.IsEmpty ? [] : ((string, string)[])[("<path class=\"step\" d=\"M11 0V12\"/>", "step in the light")],
        ]);
        sheet.Plot(TimePlots.DeltaE(check, Inner, 240, "deltae"), 240);

        sheet.Head("Light of camera B against camera A");
        sheet.Legend(
        [
            ("<path class=\"line\" d=\"M0 6H22\"/>", "exposure (above zero: lighter)"),
            ("<path class=\"red\" d=\"M0 6H22\"/>", "red against green"),
            ("<path class=\"blue\" d=\"M0 6H22\"/>", "blue against green"),
        ]);
        sheet.Plot(TimePlots.Light(check, Inner, 180), 180);

        sheet.Head("Where the cameras differ");
        Zones(sheet, check);

        sheet.Head("Over the recording");
        int number = 0;
        foreach (string sentence in CheckWords.Steps(check))
        {
            sheet.Lines(Wrapped(number < check.Steps.Length ? FormattableString.Invariant($"{++number}. {sentence}") : sentence, CharactersALine), "text");
        }

        sheet.Skip(8);
        return Html.Of($"""
            <svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {Width} {sheet.Y}" width="{Width}" height="{sheet.Y}" role="img" aria-labelledby="check-t check-d">
            <title id="check-t">{what}</title><desc id="check-d">{Verdict(check)}</desc>
            <style>{new Html(Style)}</style><rect class="paper" width="{Width}" height="{sheet.Y}"/>
            {sheet.Content}
            </svg>

            """).Markup;
    }

    private static string Verdict(CheckResult check) => check.Passes
        ? FormattableString.Invariant($"The match holds: Delta E {check.All.Mean:F2} on average, {DeltaEWords.Visible(check.All.Mean)}.")
        : $"The match does not hold. {CheckWords.WhyMissed(check)}";

    // A bar to the mean and a mark at the 95th percentile, on one scale, with the numbers beside them.
    private static void Zones(Sheet sheet, CheckResult check)
    {
        (string Name, DeltaEStatistics Of)[] rows = [("everything", check.All), .. CheckWords.Zones(check)];
        const double from = Left + 96, to = Left + 470;
        double largest = Math.Max(check.Tolerance, rows.Max(r => r.Of.Percentile95)) * 1.03;
        double X(double deltaE) => from + (deltaE / largest * (to - from));
        sheet.Add(Html.Of($"""
            <text class="soft" x="{from}" y="{sheet.Y}">bar: mean; stroke: 95 % stay below; dashed: tolerance</text>
            <g class="soft" text-anchor="end"><text class="soft" x="565" y="{sheet.Y}">mean</text><text class="soft" x="640" y="{sheet.Y}">95 %</text><text class="soft" x="{Left + Inner}" y="{sheet.Y}">colours</text></g>
            """), 8);
        double top = sheet.Y;
        foreach ((string name, DeltaEStatistics s) in rows)
        {
            sheet.Add(Html.Of($"""
                <path class="bar" d="M{from} {sheet.Y + 4}H{X(s.Mean):0.#}V{sheet.Y + 15}H{from}z"/><path class="end" d="M{X(s.Percentile95):0.#} {sheet.Y + 2}V{sheet.Y + 17}"/>
                <g class="text"><text class="text" x="{Left}" y="{sheet.Y + 14}">{name}</text><g text-anchor="end"><text class="text" x="565" y="{sheet.Y + 14}">{s.Mean:0.00}</text><text class="text" x="640" y="{sheet.Y + 14}">{s.Percentile95:0.00}</text><text class="text" x="{Left + Inner}" y="{sheet.Y + 14}">{s.Count}</text></g></g>
                """), 21);
        }

        sheet.Add(Html.Of($"<path class=\"ideal\" d=\"M{X(check.Tolerance):0.#} {top}V{sheet.Y}\"/>"), 26);
    }

    // The end of a camera's file name distinguishes it from the next one, so the middle is cut.
    private static string Short(string name)
    {
        const int longest = 44;
        return name.Length <= longest ? name : $"{name[..(longest / 2)]}...{name[^(longest / 2)..]}";
    }

    private static IEnumerable<string> Wrapped(string text, int characters)
    {
        string line = "";
        foreach (string word in text.Split(' '))
        {
            if (line.Length > 0 && line.Length + 1 + word.Length > characters)
            {
                yield return line;
                line = "";
            }

            line = line.Length == 0 ? word : $"{line} {word}";
        }

        yield return line;
    }

    // The drawing so far, and the vertical position of the next item.
    private sealed class Sheet(double y)
    {
        private readonly List<Html> _pieces = [];

        public double Y { get; private set; } = y;

        public Html Content => Html.Join(_pieces);

        public void Add(Html piece, double height)
        {
            _pieces.Add(piece);
            Y += height;
        }

        public void Skip(double height) => Y += height;

        public void Head(string text) => Add(Html.Of($"<text class=\"head\" x=\"{Left}\" y=\"{Y}\">{text}</text>"), LineHeight + 3);

        public void Lines(IEnumerable<string> lines, string look)
        {
            foreach (string line in lines)
            {
                Add(Html.Of($"<text class=\"{look}\" x=\"{Left}\" y=\"{Y}\">{line}</text>"), LineHeight);
            }
        }

        public void Legend(ReadOnlySpan<(string Key, string Text)> entries)
        {
            // As wide as in the widest of the fonts behind 'system-ui'.
            const double character = 6.9;
            double x = Left;
            foreach ((string key, string text) in entries)
            {
                _pieces.Add(Html.Of($"<g transform=\"translate({x} {Y - 10})\">{new Html(key)}<text class=\"soft\" x=\"28\" y=\"10\">{text}</text></g>"));
                x += (character * text.Length) + 44;
            }

            Y += 8;
        }

        public void Plot(Html svg, double height) =>
            Add(Html.Of($"<g transform=\"translate({Left} {Y})\">{new Html(svg.Markup.Replace("<svg ", $"<svg width=\"{Inner}\" height=\"{height}\" ", StringComparison.Ordinal))}</g>"), height + 30);
    }
}
