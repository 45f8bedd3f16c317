using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Xunit;

namespace Tonematch.Reporting.Tests;

/// <summary>The drawing of a check.</summary>
public class CheckPlotTests
{
    [Fact]
    public void Svg_HostileNames_IsWellFormedAndHoldsNoElementOfTheirs()
    {
        XElement svg = Parse(CheckPlot.Svg(Check(12), ReportPageTests.Hostile, ReportPageTests.Hostile, ReportPageTests.Hostile, 12));
        string[] expected = ["svg", "title", "desc", "style", "rect", "text", "g", "path", "circle"];
        Assert.Empty(svg.DescendantsAndSelf().Select(e => e.Name.LocalName).Except(expected));
        Assert.DoesNotContain(svg.DescendantsAndSelf().Attributes(), a => a.Name.LocalName.StartsWith("on", StringComparison.OrdinalIgnoreCase) || a.Name.LocalName == "href");
    }

    [Fact]
    public void Svg_AnHourFrameByFrame_StaysSmallAndStillShowsTheOneBadFrame()
    {
        const int bad = 54_321;
        CheckResult check = Check(90_000, i => i == bad ? 17 : 1);
        string text = CheckPlot.Svg(check, "a.mp4", "b.mp4", null, 90_000);
        Assert.InRange(text.Length, 1000, 400_000);
        // The line's highest point stands at the bad frame's time, above the tolerance.
        XElement line = Parse(text).Descendants().First(e => e.Name.LocalName == "path" && (string?)e.Attribute("class") == "line" && e.Parent!.Name.LocalName == "svg");
        (double X, double Y)[] points = [.. Regex.Matches((string)line.Attribute("d")!, @"[ML](-?[\d.]+) (-?[\d.]+)").Select(m =>
            (double.Parse(m.Groups[1].ValueSpan, CultureInfo.InvariantCulture), double.Parse(m.Groups[2].ValueSpan, CultureInfo.InvariantCulture)))];
        (double X, double Y) top = points.MinBy(p => p.Y);
        double share = (top.X - points[0].X) / (points[^1].X - points[0].X);
        Assert.Equal(bad / 89_999.0, share, 0.002);
        Assert.True(points.Count(p => p.Y < points.Max(q => q.Y) - 20) <= 2);
    }

    [Fact]
    public void Svg_OneInstant_DrawsItWithoutNaN()
    {
        string text = CheckPlot.Svg(Check(1), "a.png", "b.png", null, 1);
        Assert.DoesNotContain("NaN", text, StringComparison.Ordinal);
        Assert.DoesNotContain("n/a", text, StringComparison.Ordinal);
        Assert.Contains("class=\"instant\"", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Svg_CheckThatMisses_SaysSoFirst()
    {
        XElement svg = Parse(CheckPlot.Svg(Check(12, _ => 9), "a.mp4", "b.mp4", "c.cube", 12));
        Assert.StartsWith("The match does not hold.", svg.Descendants().First(e => e.Name.LocalName == "text").Value, StringComparison.Ordinal);
    }

    [Fact]
    public void Svg_Steps_AreNumberedInThePlotAndInWords()
    {
        CheckResult check = Check(12) with { Steps = [new MatchStep(4, 6, 0.5, 0, 0), new MatchStep(8, 10, 0, 0.3, -0.2)] };
        string[] texts = [.. Parse(CheckPlot.Svg(check, "a.mp4", "b.mp4", null, 12)).Descendants().Where(e => e.Name.LocalName == "text").Select(e => e.Value)];
        Assert.Equal(2, texts.Count(t => t.StartsWith("1. At 4.00 s", StringComparison.Ordinal) || t.StartsWith("2. At 8.00 s", StringComparison.Ordinal)));
        Assert.True(texts.Count(t => t == "2") >= 2);
    }

    internal static CheckResult Check(int instants, Func<int, double>? deltaE = null)
    {
        deltaE ??= _ => 1;
        ImmutableArray<InstantFigures> figures = [.. Enumerable.Range(0, instants).Select(i =>
        {
            double d = deltaE(i);
            return new InstantFigures(i, i + 2.4, DeltaEStatistics.Of([d, d * 1.2], [1, 1]), 0.01 * (i % 3), 0.02, -0.01);
        })];
        DeltaEStatistics all = DeltaEStatistics.Of([.. figures.Select(f => f.DeltaE.Mean)], [.. figures.Select(_ => 1.0)]);
        return new CheckResult(
            all, ImmutableSortedDictionary<string, DeltaEStatistics>.Empty.Add("skin", all).Add("shadows", all), figures, [], all.Mean, all.Mean, 3);
    }

    private static XElement Parse(string text) => XDocument.Parse(text).Root!;
}
