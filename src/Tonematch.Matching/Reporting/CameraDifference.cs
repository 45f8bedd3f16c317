using System.Globalization;
using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Matching.Reporting;

/// <summary>
/// How the secondary as recorded differs from the primary, in the terms of a camera's settings: what to set otherwise
/// next time. Medians over the samples that are neither very dark nor near clipping on either side.
/// </summary>
/// <param name="ExposureStops">Above 0: the secondary is lighter.</param>
/// <param name="WarmerMired">Above 0: the secondary is warmer (its white, as a shift of the correlated colour temperature).</param>
/// <param name="GreenerStops">Above 0: the secondary leans to green, below 0 to magenta; green against red and blue.</param>
/// <param name="ContrastPercent">Above 0: the secondary's lightness spreads wider, in per cent.</param>
/// <param name="SaturationPercent">Above 0: the secondary's colours are stronger, in per cent of chroma.</param>
/// <param name="Samples">How many samples this rests on.</param>
public sealed record CameraDifference(
    double ExposureStops, double WarmerMired, double GreenerStops, double ContrastPercent, double SaturationPercent, int Samples)
{
    private const double Darkest = 0.08, Lightest = 0.92;
    private const int FewestSamples = 6;

    // Below these a difference is not worth a word: about what a camera's finest step or the eye can tell.
    private const double SmallestStops = 0.08, SmallestMired = 6, SmallestGreen = 0.04, SmallestPercent = 4;

    /// <summary>Measures the difference; null when there are too few usable samples.</summary>
    public static CameraDifference? Of(SampleSet samples)
    {
        ArgumentNullException.ThrowIfNull(samples);
        SamplePair[] usable = [.. samples.Pairs.Where(p => IsUsable(p.Primary) && IsUsable(p.Secondary))];
        if (usable.Length < FewestSamples || samples.Method == SamplingMethod.Overall)
        {
            return null;
        }

        // Light that both describe in XYZ, so that unlike encodings compare.
        (double R, double G, double B)[] ratios = [.. usable.Select(p =>
        {
            SceneRgb a = samples.PrimaryEncoding.ToScene(p.Primary), b = samples.SecondaryEncoding.ToScene(p.Secondary);
            return (Math.Log2(b.R / a.R), Math.Log2(b.G / a.G), Math.Log2(b.B / a.B));
        })];

        // Strong colours tell of the sensors, weak ones of exposure and white balance: weighted by greyness.
        double[] weights = [.. usable.Select(p => 1 / (1 + (samples.PrimaryEncoding.ToLab(p.Primary).Chroma / 12)))];
        double r = Median([.. ratios.Select(x => x.R)], weights), g = Median([.. ratios.Select(x => x.G)], weights), b = Median([.. ratios.Select(x => x.B)], weights);
        Lab[] primary = [.. usable.Select(p => samples.PrimaryEncoding.ToLab(p.Primary))];
        Lab[] secondary = [.. usable.Select(p => samples.SecondaryEncoding.ToLab(p.Secondary))];
        double contrast = 100 * (Slope([.. primary.Select(l => l.L)], [.. secondary.Select(l => l.L)]) - 1);
        (Lab P, Lab S)[] strong = [.. primary.Zip(secondary).Where(x => x.First.Chroma > 15)];
        double saturation = strong.Length < 4 ? 0 : 100 * (Slope(
            [.. strong.SelectMany(x => new[] { x.P.A, x.P.B })], [.. strong.SelectMany(x => new[] { x.S.A, x.S.B })]) - 1);
        return new CameraDifference(
            (0.2126 * r) + (0.7152 * g) + (0.0722 * b), Warmth(r - g, b - g, samples.PrimaryEncoding), g - ((r + b) / 2), contrast, saturation, usable.Length);
    }

    /// <summary>The difference in one sentence, e.g. 'The secondary is 0.4 stop darker, 35 mired warmer, a little green.'</summary>
    public string Sentence()
    {
        List<string> parts = [];
        if (Math.Abs(ExposureStops) >= SmallestStops)
        {
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(ExposureStops):0.0#} stop {(ExposureStops < 0 ? "darker" : "lighter")}"));
        }

        if (Math.Abs(WarmerMired) >= SmallestMired)
        {
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(WarmerMired):0} mired {(WarmerMired > 0 ? "warmer" : "cooler")}"));
        }

        if (Math.Abs(GreenerStops) >= SmallestGreen)
        {
            parts.Add($"{(Math.Abs(GreenerStops) < 0.12 ? "a little" : "clearly")} {(GreenerStops > 0 ? "green" : "magenta")}");
        }

        if (Math.Abs(ContrastPercent) >= SmallestPercent)
        {
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(ContrastPercent):0} % {(ContrastPercent > 0 ? "harder" : "softer")} in contrast"));
        }

        if (Math.Abs(SaturationPercent) >= SmallestPercent)
        {
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(SaturationPercent):0} % {(SaturationPercent > 0 ? "stronger" : "weaker")} in colour"));
        }

        return parts.Count == 0
            ? "As recorded, the secondary's exposure, white balance, contrast and saturation are near the primary's."
            : $"Against the primary, the secondary as recorded is {Listed(parts)}.";
    }

    /// <summary>What to set on the secondary at the next event; null when nothing is worth it.</summary>
    public string? NextTime()
    {
        List<string> parts = [];
        if (Math.Abs(ExposureStops) >= 0.17)
        {
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"expose it {Math.Abs(ExposureStops):0.0} stop {(ExposureStops < 0 ? "more" : "less")}"));
        }

        if (Math.Abs(WarmerMired) >= SmallestMired)
        {
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"set its white balance by hand so that it comes out {Math.Abs(WarmerMired):0} mired {(WarmerMired > 0 ? "cooler" : "warmer")}"));
        }

        if (Math.Abs(GreenerStops) >= SmallestGreen)
        {
            parts.Add($"its tint towards {(GreenerStops > 0 ? "magenta" : "green")}");
        }

        if (ContrastPercent >= 8)
        {
            parts.Add("choose a softer picture style");
        }
        else if (ContrastPercent <= -8)
        {
            parts.Add("choose a picture style with more contrast");
        }

        return parts.Count == 0 ? null : $"At the next event, on the secondary: {Listed(parts)}. Lock exposure and white balance on both.";
    }

    private static string Listed(List<string> parts) => parts.Count == 1 ? parts[0] : string.Join(", ", parts.Take(parts.Count - 1)) + " and " + parts[^1];

    private static bool IsUsable(CodeRgb c) =>
        c.IsFinite && Math.Min(c.R, Math.Min(c.G, c.B)) > Darkest && Math.Max(c.R, Math.Max(c.G, c.B)) < Lightest;

    // The white of the secondary as the primary would see it, as a correlated colour temperature by the cubic of
    // C. S. McCamy (Color Research and Application 17(2), 1992, 142-144), against that of the encoding's white.
    private static double Warmth(double redGreenStops, double blueGreenStops, SignalEncoding encoding)
    {
        (double x, double y, double z) = encoding.RgbToXyz.Times(Math.Pow(2, redGreenStops), 1, Math.Pow(2, blueGreenStops));
        return Mired(x / (x + y + z), y / (x + y + z)) - Mired(encoding.Primaries.White.X, encoding.Primaries.White.Y);
    }

    private static double Mired(double x, double y)
    {
        double n = (x - 0.3320) / (0.1858 - y);
        return 1e6 / ((449 * n * n * n) + (3525 * n * n) + (6823.3 * n) + 5520.33);
    }

    private static double Median(double[] values, double[] weights)
    {
        double[] v = [.. values], w = [.. weights];
        Array.Sort(v, w);
        double half = w.Sum() / 2, sum = 0;
        for (int i = 0; i < v.Length; i++)
        {
            sum += w[i];
            if (sum >= half)
            {
                return v[i];
            }
        }

        return v[^1];
    }

    // The reduced major axis: noise on either side does not flatten it as it does a regression.
    private static double Slope(double[] x, double[] y)
    {
        double mx = x.Average(), my = y.Average();
        double sx = x.Sum(v => (v - mx) * (v - mx)), sy = y.Sum(v => (v - my) * (v - my));
        return sx > 1e-9 ? Math.Sqrt(sy / sx) : 1;
    }
}
