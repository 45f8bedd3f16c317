using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Pictures;

namespace Tonematch.Reporting;

/// <summary>CIEDE2000 of two pictures, pixel by pixel, shown on a ramp from dark to light.</summary>
public static class DifferenceMap
{
    // From dark slate through ember to pale yellow: lightness rises evenly, so it can be read without colour vision and
    // in print.
    private static readonly CodeRgb[] s_ramp = [new(0.11, 0.12, 0.15), new(0.30, 0.20, 0.26), new(0.58, 0.28, 0.25), new(0.85, 0.47, 0.24), new(0.97, 0.75, 0.42), new(1.0, 0.96, 0.80)];

    /// <summary>The map, the end of its scale (a round number) and the mean difference.</summary>
    /// <param name="first">One picture.</param>
    /// <param name="second">Another of the same size.</param>
    /// <param name="side">Longest side of the map, pixels.</param>
    public static (Picture Map, double Top, double Mean) Of(Picture first, Picture second, int side)
    {
        Picture a = PictureScale.ToSmall(first, side), b = PictureScale.ToSmall(second, side);
        int n = a.Width * a.Height;
        double[] deltaE = new double[n];
        Parallel.For(0, a.Height, y =>
        {
            for (int i = y * a.Width; i < (y + 1) * a.Width; i++)
            {
                Lab x = a.Encoding.ToLab(new CodeRgb(a.R[i], a.G[i], a.B[i])), z = b.Encoding.ToLab(new CodeRgb(b.R[i], b.G[i], b.B[i]));
                double d = DeltaE2000.Between(x, z);
                deltaE[i] = double.IsFinite(d) ? d : 0;
            }
        });
        double top = Plots.PlotFrame.RoundStep(Math.Max(1, Exceeded(deltaE, 0.02)));
        float[] r = new float[n], g = new float[n], blue = new float[n];
        for (int i = 0; i < n; i++)
        {
            CodeRgb c = Colour(deltaE[i] / top);
            (r[i], g[i], blue[i]) = ((float)c.R, (float)c.G, (float)c.B);
        }

        return (new Picture(a.Width, a.Height, r, g, blue, SignalEncoding.Srgb), top, deltaE.Average());
    }

    // The difference that a share of the pixels exceeds, to a hundredth: counting takes a hundredth of the time of
    // sorting.
    private static double Exceeded(double[] deltaE, double share)
    {
        int[] counts = new int[20_001];
        foreach (double d in deltaE)
        {
            counts[(int)Math.Min(d * 100, 20_000)]++;
        }

        int at = 20_000;
        for (double left = share * deltaE.Length; at > 0 && (left -= counts[at]) > 0;)
        {
            at--;
        }

        return at / 100.0;
    }

    /// <summary>The ramp's colour at a share 0..1, in sRGB; beyond 1 it stays at the end.</summary>
    public static CodeRgb Colour(double share)
    {
        double at = Math.Clamp(share, 0, 1) * (s_ramp.Length - 1);
        int i = Math.Min((int)at, s_ramp.Length - 2);
        double f = at - i;
        CodeRgb a = s_ramp[i], b = s_ramp[i + 1];
        return new(a.R + ((b.R - a.R) * f), a.G + ((b.G - a.G) * f), a.B + ((b.B - a.B) * f));
    }

    /// <summary>The ramp as a scale from 0 to <paramref name="top"/>.</summary>
    internal static Html Scale(double top) => Html.Of($"""
        <svg class="scale" viewBox="0 0 240 26" role="img" aria-label="Scale of the map: Delta E from 0, dark, to {top}, light">{Html.Each(Enumerable.Range(0, 48), i => Html.Of($"<path fill=\"{PageColour.Hex(Colour(i / 47.0), SignalEncoding.Srgb)}\" d=\"M{i * 5} 0h5.4v10h-5.4z\"/>"))}
        <g class="tick small"><text x="0" y="22">0</text><text x="120" y="22" text-anchor="middle">{(top / 2).ToString("0.##", CultureInfo.InvariantCulture)}</text><text x="240" y="22" text-anchor="end">{top} Delta E</text></g></svg>
        """);
}
