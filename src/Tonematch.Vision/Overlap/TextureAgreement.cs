using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// Tests whether both cameras see the same amount of texture in a patch: if only one of them sees an edge in it, its
/// place is wrong, or something nearer covers part of it.
/// </summary>
internal static class TextureAgreement
{
    // Largest ratio of the spreads beyond what is usual at that lightness, as log2: a factor of 1.4.
    private const double LargestOctaves = 0.5;

    // A tone curve may stretch shadows and compress highlights, so the usual ratio is taken from the quarter of all
    // pairs nearest in lightness.
    private const int FewestNeighbours = 20;
    private const double NeighbourShare = 0.25;

    // If only noise causes spread, less noise in one camera is not an edge: half of the patches are assumed to be that
    // flat.
    private const double NoiseShare = 0.5;
    private const double SmallestNoise = 0.5 / 255;

    /// <summary>
    /// For each pair, whether the two cameras disagree about how textured it is; all false with too few pairs.
    /// </summary>
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
