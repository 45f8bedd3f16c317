using Tonematch.Colour;
using Tonematch.Reporting.Plots;
using Tonematch.Samples;

namespace Tonematch.Reporting;

/// <summary>The corresponding colours: tiles, plots, table and coverage.</summary>
internal static class SampleSection
{
    private const int MostTiles = 48, TableFirst = 32, TableMost = 400;

    // Hue angles in CIELAB at which colour families begin: a convention of this page.
    private static readonly (string Name, double From)[] s_families = [("red", 0), ("yellow", 62), ("green", 115), ("cyan", 180), ("blue", 235), ("magenta", 305)];

    public static Html Render(ReportModel model) => Html.Of($"""
        <section aria-labelledby="colours"><h2 id="colours">Colours</h2>
        <p>{model.SampleSource}{Html.When(model.NoiseFloorDeltaE is not null, () => Html.Of($" Measured twice, the same thing differs by {model.NoiseFloorDeltaE!.Value:0.00} Delta E in this footage: a match below that cannot be seen here."))}{Rejected(model)}</p>
        {Tiles(model)}
        <div class="plots">
        {ColourPlots.HueAndChroma(model)}
        {ColourPlots.Lightness(model)}
        {DifferencePlots.Histogram(model)}
        {Coverage(model)}
        </div>
        {Table(model)}
        </section>
        """);

    private static Html Rejected(ReportModel model) => model.Rejected.Count == 0 ? Html.None : Html.Of(
        $" Left out: {string.Join(", ", model.Rejected.OrderByDescending(r => r.Value).Select(r => FormattableString.Invariant($"{r.Value} {r.Key}")))}.");

    private static Html Tiles(ReportModel model)
    {
        ReportPair[] shown = model.Pairs.Length <= MostTiles ? [.. model.Pairs] : [.. Spread(model)];
        string which = shown.Length == model.Pairs.Length ? "All of them." : FormattableString.Invariant($"{shown.Length} of {model.Pairs.Length}, from the best to the worst.");
        return Html.Of($"""
            <figure class="tiles"><figcaption><strong>Colour by colour</strong> <span>Around: camera A. Inside, left: camera B as recorded; right: corrected. Where the right half cannot be told from its surround, the match holds. The number is the Delta E that is left. {which}</span></figcaption>
            <ul>{Html.Each(shown, p => Html.Of($"""
                <li><svg viewBox="0 0 84 60" role="img" aria-label="{Name(model, p)}: Delta E {p.DeltaEBefore:0.0} as recorded, {p.DeltaEAfter:0.0} corrected"><path fill="{PageColour.Hex(p.Primary, model.Encoding)}" d="M0 0h84v60h-84z"/><path fill="{PageColour.Hex(p.Secondary, model.SecondaryEncoding)}" d="M14 14h28v32h-28z"/><path fill="{PageColour.Hex(p.Corrected, model.Encoding)}" d="M42 14h28v32h-28z"/></svg><b>{p.DeltaEAfter:0.0}</b> <span>{Name(model, p)}</span></li>
                """))}</ul></figure>
            """);
    }

    private static Html Table(ReportModel model)
    {
        ReportPair[] rows = model.Pairs.Length <= TableFirst ? [.. model.Pairs] : [.. model.Pairs.OrderByDescending(p => p.DeltaEAfter)];
        bool split = rows.Length > TableFirst;
        string caption = split
            ? FormattableString.Invariant($"The worst {TableFirst} of {rows.Length} colours, worst first. All of them are in pairs.csv.")
            : "Every colour that was compared. L*, a* and b* are relative to white (D65).";
        return Html.Of($"""
            <h3 id="pairs">Table of colours</h3>
            {Rows(model, rows.Take(TableFirst), caption)}
            {Html.When(split, () => Html.Of($"<details><summary>The next {Math.Min(rows.Length, TableMost) - TableFirst}</summary>{Rows(model, rows.Skip(TableFirst).Take(TableMost - TableFirst), "Continued, worst first.")}</details>"))}
            """);
    }

    private static Html Rows(ReportModel model, IEnumerable<ReportPair> rows, string caption) => Html.Of($"""
        <div class="scroll" role="region" aria-label="{caption}" tabindex="0"><table><caption><span>{caption}</span></caption>
        <thead><tr><th scope="col">Colour</th><th scope="col">Camera A, B recorded, B corrected</th><th scope="col" class="n">Delta E recorded</th><th scope="col" class="n">Delta E corrected</th><th scope="col" class="n">Camera A L* a* b*</th><th scope="col" class="n">Recorded L* a* b*</th><th scope="col" class="n">Corrected L* a* b*</th></tr></thead>
        <tbody>{Html.Each(rows, p => Html.Of($"""
            <tr><th scope="row">{Name(model, p)}</th><td><svg class="swatches" viewBox="0 0 96 20" aria-hidden="true"><path fill="{PageColour.Hex(p.Primary, model.Encoding)}" d="M0 0h32v20h-32z"/><path fill="{PageColour.Hex(p.Secondary, model.SecondaryEncoding)}" d="M32 0h32v20h-32z"/><path fill="{PageColour.Hex(p.Corrected, model.Encoding)}" d="M64 0h32v20h-32z"/></svg></td>
            <td class="n">{p.DeltaEBefore:0.00}</td><td class="n"><b>{p.DeltaEAfter:0.00}</b></td>{Lab(model.Encoding.ToLab(p.Primary))}{Lab(model.SecondaryEncoding.ToLab(p.Secondary))}{Lab(model.Encoding.ToLab(p.Corrected))}</tr>
            """))}</tbody></table></div>
        """);

    private static Html Lab(Lab lab) => Html.Of($"<td class=\"n\">{Tenth(lab.L):0.0}&ensp;{Tenth(lab.A):0.0}&ensp;{Tenth(lab.B):0.0}</td>");

    // Rounded first, so that -0.04 does not become '-0.0'.
    private static double Tenth(double value) => Math.Round(value, 1) + 0.0;

    private static Html Coverage(ReportModel model)
    {
        (string Zone, Func<Lab, bool> Holds)[] zones = [("shadows", l => l.L < 25), ("middle", l => l.L is >= 25 and <= 75), ("highlights", l => l.L > 75)];
        string[] columns = ["grey", .. s_families.Select(f => f.Name)];
        Lab[] labs = [.. model.Pairs.Select(p => model.Encoding.ToLab(p.Primary))];
        int[,] counts = new int[zones.Length, columns.Length];
        foreach (Lab lab in labs)
        {
            int zone = Array.FindIndex(zones, z => z.Holds(lab));
            int family = lab.Chroma < 5 ? 0 : 1 + Array.FindLastIndex(s_families, f => lab.HueDegrees >= f.From);
            if (zone >= 0 && family >= 0)
            {
                counts[zone, family]++;
            }
        }

        int skin = labs.Count(SkinTones.Contains);
        string[] missing = [.. columns.Where((_, c) => Enumerable.Range(0, zones.Length).Sum(z => counts[z, c]) == 0)];
        string[] dark = [.. zones.Where((_, z) => Enumerable.Range(0, columns.Length).Sum(c => counts[z, c]) == 0).Select(z => z.Zone)];
        string reading = missing.Length + dark.Length == 0
            ? "Every family of colours and every zone of lightness was compared."
            : $"Not compared at all: {string.Join(", ", missing.Concat(dark))}. There the correction follows similar colours: look before you trust it.";
        int most = Math.Max(1, counts.Cast<int>().Max());
        return Html.Of($"""
            <figure class="plot coverage"><figcaption><strong>Which colours were compared</strong> <span>{reading} {(skin == 0 ? "None is like skin." : skin == 1 ? "One is like skin." : FormattableString.Invariant($"{skin} are like skin."))}</span></figcaption>
            <div class="scroll" role="region" aria-label="Number of compared colours by lightness and hue" tabindex="0"><table><caption><span>Number of compared colours by camera A's lightness (below L* 25, up to 75, above) and hue</span></caption><thead><tr><td></td>{Html.Each(columns, c => Html.Of($"<th scope=\"col\">{c}</th>"))}</tr></thead>
            <tbody>{Html.Each(Enumerable.Range(0, zones.Length), z => Html.Of($"<tr><th scope=\"row\">{zones[z].Zone}</th>{Html.Each(Enumerable.Range(0, columns.Length), c => Html.Of($"<td class=\"c{(counts[z, c] == 0 ? 0 : 1 + (int)(2.99 * counts[z, c] / most))}\">{counts[z, c]}</td>"))}</tr>"))}</tbody></table></div></figure>
            """);
    }

    // A description of the colour says more than the number of a place.
    private static string Name(ReportModel model, ReportPair p) => p.Label.Length > 0 ? p.Label
        : PlainColourNames.Of(model.Encoding.ToLab(p.Primary)) + (p.Origin is { } o ? FormattableString.Invariant($", at {o.PrimarySeconds:0.0} s") : "");

    // Spread evenly over the ranks of the remaining differences.
    private static IEnumerable<ReportPair> Spread(ReportModel model)
    {
        ReportPair[] ranked = [.. model.Pairs.OrderBy(p => p.DeltaEAfter)];
        return Enumerable.Range(0, MostTiles).Select(i => ranked[(int)((long)i * (ranked.Length - 1) / (MostTiles - 1))]);
    }
}
