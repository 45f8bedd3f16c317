using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Numerics;

namespace Tonematch.Checking;

/// <summary>Judges a match over the whole overlap of two clips.</summary>
public static class MatchCheck
{
    /// <summary>The default mean CIEDE2000 that passes: visible side by side, hardly in a cut (common practice).</summary>
    public const double UsualTolerance = 3;

    // Below 1 % or above 95 % of the range, ratios of light reflect noise and clipping rather than light.
    private const double DarkestForRatios = 0.01;
    private const double LightestForRatios = 0.95;

    // Shortest state of the light or of a camera's automatic settings, seconds; flicker and flashes do not count.
    private const double ShortestStateSeconds = 0.4;

    /// <summary>Evaluates corresponding colours of many instants.</summary>
    /// <param name="instants">At least one instant; each with at least one colour.</param>
    /// <param name="encoding">The primary's encoding, in which all colours are given.</param>
    /// <param name="tolerance">Mean CIEDE2000 that passes, above 0.</param>
    /// <exception cref="ArgumentException">There is nothing to evaluate.</exception>
    public static CheckResult Evaluate(IReadOnlyList<CheckedInstant> instants, SignalEncoding encoding, double tolerance)
    {
        ArgumentNullException.ThrowIfNull(instants);
        if (instants.Count == 0)
        {
            throw new ArgumentException("There must be at least one instant.", nameof(instants));
        }

        CheckedSeries series = new(encoding);
        foreach (CheckedInstant instant in instants.OrderBy(i => i.PrimarySeconds))
        {
            series.Add(instant);
        }

        return series.Evaluate(tolerance);
    }

    /// <summary>Evaluates from the figures of every instant and the colours of some.</summary>
    /// <param name="overTime">Every instant, in order of time.</param>
    /// <param name="kept">Instants whose colours represent all.</param>
    /// <param name="encoding">The primary's encoding.</param>
    /// <param name="tolerance">Mean CIEDE2000 that passes.</param>
    internal static CheckResult Evaluate(ImmutableArray<InstantFigures> overTime, CheckedInstant[] kept, SignalEncoding encoding, double tolerance)
    {
        double seconds = overTime[^1].PrimarySeconds - overTime[0].PrimarySeconds;
        int shortest = Math.Max(2, seconds > 0 ? (int)Math.Ceiling(ShortestStateSeconds * (overTime.Length - 1) / seconds) : 2);
        IReadOnlyList<int> starts = StepFinder.Find(
            [.. overTime.Select(f => new[] { f.ExposureStops, f.RedGreenStops, f.BlueGreenStops })], smallestStep: 0.1, shortest);
        ImmutableArray<MatchStep> steps = [.. Steps(overTime, starts)];
        DeltaEStatistics all = Statistics(kept.SelectMany(i => i.Colours), encoding);
        double[] changes = [.. starts.Select(s => overTime[s].PrimarySeconds)];
        CheckedInstant[][] states = [.. kept.GroupBy(i => changes.Count(c => c <= i.PrimarySeconds)).Select(g => g.ToArray())];
        return new CheckResult(all, ZonesOf(kept, encoding), overTime, steps, all.Mean, MeanWithGainsPerState(states, encoding), tolerance);
    }

    /// <summary>The figures of one instant.</summary>
    internal static InstantFigures FiguresOf(CheckedInstant instant, SignalEncoding encoding)
    {
        (double exposure, double redGreen, double blueGreen) = LightDifference(instant.Colours, encoding);
        return new InstantFigures(
            instant.PrimarySeconds, instant.SecondarySeconds, Statistics(instant.Colours, encoding), exposure, redGreen, blueGreen);
    }

    // The median over colours of log2 light ratios, corrected to primary.
    private static (double Exposure, double RedGreen, double BlueGreen) LightDifference(
        IEnumerable<CheckedColour> colours, SignalEncoding encoding)
    {
        List<double> exposure = [], redGreen = [], blueGreen = [];
        foreach (CheckedColour colour in colours)
        {
            if (IsUsable(colour.Primary) && IsUsable(colour.Corrected))
            {
                SceneRgb p = encoding.ToScene(colour.Primary), c = encoding.ToScene(colour.Corrected);
                double r = Math.Log2(c.R / p.R), g = Math.Log2(c.G / p.G), b = Math.Log2(c.B / p.B);
                exposure.Add(g);
                redGreen.Add(r - g);
                blueGreen.Add(b - g);
            }
        }

        return (Median.Of(exposure), Median.Of(redGreen), Median.Of(blueGreen));
    }

    private static bool IsUsable(CodeRgb code) =>
        Math.Min(code.R, Math.Min(code.G, code.B)) > DarkestForRatios && Math.Max(code.R, Math.Max(code.G, code.B)) < LightestForRatios;

    private static IEnumerable<MatchStep> Steps(ImmutableArray<InstantFigures> overTime, IReadOnlyList<int> starts)
    {
        int[] edges = [0, .. starts, overTime.Length];
        for (int k = 1; k < edges.Length - 1; k++)
        {
            double Change(Func<InstantFigures, double> of) =>
                Median.Of(overTime[edges[k]..edges[k + 1]].Select(of)) - Median.Of(overTime[edges[k - 1]..edges[k]].Select(of));
            InstantFigures at = overTime[edges[k]];
            MatchStep step = new(
                at.PrimarySeconds, at.SecondarySeconds, Change(f => f.ExposureStops), Change(f => f.RedGreenStops), Change(f => f.BlueGreenStops));
            if (step.IsExposure || step.IsWhiteBalance)
            {
                yield return step;
            }
        }
    }

    private static ImmutableSortedDictionary<string, DeltaEStatistics> ZonesOf(CheckedInstant[] instants, SignalEncoding encoding)
    {
        (string Name, Func<Lab, bool> Holds)[] zones =
        [
            .. ToneZones.All,
            ("neutrals", lab => lab.Chroma < 5),
            ("skin", SkinTones.Contains),
        ];
        CheckedColour[] all = [.. instants.SelectMany(i => i.Colours)];
        Lab[] labs = [.. all.Select(c => encoding.ToLab(c.Primary))];
        ImmutableSortedDictionary<string, DeltaEStatistics>.Builder result = ImmutableSortedDictionary.CreateBuilder<string, DeltaEStatistics>(StringComparer.Ordinal);
        foreach ((string name, Func<Lab, bool> holds) in zones)
        {
            CheckedColour[] inside = [.. all.Where((_, i) => holds(labs[i]))];
            if (inside.Length > 0)
            {
                result.Add(name, Statistics(inside, encoding));
            }
        }

        return result.ToImmutable();
    }

    private static double MeanWithGainsPerState(CheckedInstant[][] states, SignalEncoding encoding)
    {
        List<CheckedColour> set = [];
        foreach (CheckedInstant[] state in states)
        {
            CheckedColour[] stretch = [.. state.SelectMany(i => i.Colours)];
            (double exposure, double redGreen, double blueGreen) = LightDifference(stretch, encoding);
            CheckedColour[] settled = [.. stretch.Select(c => c with { Corrected = Scale(c.Corrected, exposure, redGreen, blueGreen, encoding) })];

            // Adjusting exposure and white balance must not count where it does not help.
            set.AddRange(Statistics(settled, encoding).Mean < Statistics(stretch, encoding).Mean ? settled : stretch);
        }

        return Statistics(set, encoding).Mean;
    }

    private static CodeRgb Scale(CodeRgb code, double exposure, double redGreen, double blueGreen, SignalEncoding encoding)
    {
        SceneRgb light = encoding.ToScene(code);
        return encoding.FromScene(new SceneRgb(
            light.R * Math.Pow(2, -exposure - redGreen), light.G * Math.Pow(2, -exposure), light.B * Math.Pow(2, -exposure - blueGreen)));
    }

    private static DeltaEStatistics Statistics(IEnumerable<CheckedColour> colours, SignalEncoding encoding)
    {
        List<double> deltaE = [], weights = [];
        foreach (CheckedColour c in colours)
        {
            deltaE.Add(DeltaE2000.Between(encoding.ToLab(c.Primary), encoding.ToLab(c.Corrected)));
            weights.Add(c.Weight);
        }

        return DeltaEStatistics.Of(deltaE.ToArray(), weights.ToArray());
    }
}
