using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>Prevents a colour that fills the picture from deciding the correction alone.</summary>
public static class DensityWeights
{
    // CIELAB units; colours this near roughly count as one colour.
    private const double Width = 8;

    // A colour seen this often has full weight; rarer ones have less, because nothing confirms them.
    private const double Confirmed = 3;

    /// <summary>
    /// Thins and weights pairs by the density of their colours in the CIELAB of the camera whose colours are more
    /// spread out (underexposure contracts all colours): at most <paramref name="mostPerCell"/> pairs (the first ones)
    /// in each cube of 8 units, each weight divided by the Gaussian count of its neighbours (standard deviation 8
    /// units; at least 3, so that a single odd pair never outweighs a confirmed colour). The mean weight is 1. The
    /// order is kept.
    /// </summary>
    public static ImmutableArray<SamplePair> Apply(
        IReadOnlyList<SamplePair> pairs, SignalEncoding primary, SignalEncoding secondary, int mostPerCell = 20)
    {
        ArgumentNullException.ThrowIfNull(pairs);
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        Lab[] p = [.. pairs.Select(x => primary.ToLab(x.Primary))], s = [.. pairs.Select(x => secondary.ToLab(x.Secondary))];
        Lab[] wider = Spread(p) > Spread(s) ? p : s;
        Dictionary<(int, int, int), int> cells = [];
        List<(SamplePair Pair, Lab Colour)> kept = [];
        for (int i = 0; i < pairs.Count; i++)
        {
            Lab c = wider[i];
            (int, int, int) cell = ((int)Math.Floor(c.L / Width), (int)Math.Round(c.A / Width), (int)Math.Round(c.B / Width));
            int count = cells.GetValueOrDefault(cell);
            if (count < mostPerCell)
            {
                cells[cell] = count + 1;
                kept.Add((pairs[i], c));
            }
        }

        double[] weights = [.. kept.Select(k => k.Pair.Weight / Math.Max(Confirmed, kept.Sum(o => Nearness(k.Colour, o.Colour))))];
        double mean = weights.Length == 0 ? 1 : weights.Average();
        return [.. kept.Select((k, i) => k.Pair with { Weight = weights[i] / mean })];
    }

    private static double Spread(Lab[] colours)
    {
        if (colours.Length == 0)
        {
            return 0;
        }

        double l = colours.Average(c => c.L), a = colours.Average(c => c.A), b = colours.Average(c => c.B);
        return colours.Average(c => ((c.L - l) * (c.L - l)) + ((c.A - a) * (c.A - a)) + ((c.B - b) * (c.B - b)));
    }

    private static double Nearness(Lab a, Lab b)
    {
        double l = a.L - b.L, x = a.A - b.A, y = a.B - b.B;
        return Math.Exp(-((l * l) + (x * x) + (y * y)) / (2 * Width * Width));
    }
}
