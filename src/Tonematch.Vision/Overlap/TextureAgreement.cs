using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// Whether both cameras see a patch alike even: where one of them sees an edge in it that the other does not see, it lies
/// beside its place, or something nearer covers a part of it.
/// </summary>
internal static class TextureAgreement
{
    // Between the spreads, beyond what is usual for things as light: a factor of 1.4.
    private const double LargestOctaves = 0.5;

    // A curve may stretch shadows and squeeze highlights: what is usual is asked of the nearest in lightness, a quarter of
    // all pairs.
    private const int FewestNeighbours = 20;
    private const double NeighbourShare = 0.25;

    // Where little but noise spreads, a camera with less of it is no edge: half of the patches are taken to be so flat.
    private const double NoiseShare = 0.5;
    private const double SmallestNoise = 0.5 / 255;

    /// <summary>For each pair: the cameras see it unlike even. Too few pairs say nothing.</summary>
    public static bool[] Differs(IReadOnlyList<SamplePair> pairs, SignalEncoding secondary)
    {
        int n = pairs.Count, asked = Math.Max(FewestNeighbours, (int)(NeighbourShare * n));
        bool[] differs = new bool[n];
        if (n < FewestNeighbours)
        {
            return differs;
        }

        double[] p = [.. pairs.Select(x => Largest(x.PrimarySpread))], s = [.. pairs.Select(x => Largest(x.SecondarySpread))];
        double noiseP = Noise(p), noiseS = Noise(s);
        int[] byLightness = [.. Enumerable.Range(0, n).OrderBy(i => secondary.ToLab(pairs[i].Secondary).L)];
        double[] octaves = [.. byLightness.Select(i => 0.5 * Math.Log2(((s[i] * s[i]) + (noiseS * noiseS)) / ((p[i] * p[i]) + (noiseP * noiseP))))];
        for (int k = 0; k < n; k++)
        {
            int from = Math.Clamp(k - (asked / 2), 0, n - asked);
            double[] around = octaves[from..(from + asked)];
            Array.Sort(around);
            differs[byLightness[k]] = Math.Abs(octaves[k] - around[asked / 2]) > LargestOctaves;
        }

        return differs;
    }

    private static double Noise(double[] spreads) => Math.Max(SmallestNoise, spreads.Order().ElementAt((int)(NoiseShare * spreads.Length)));

    private static double Largest(CodeRgb c) => Math.Max(c.R, Math.Max(c.G, c.B));
}
