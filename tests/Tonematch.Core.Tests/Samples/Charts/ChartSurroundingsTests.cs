using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Samples.Charts;
using Xunit;

namespace Tonematch.Core.Tests.Samples.Charts;

/// <summary>A chart on ground without features, seen by two cameras from two places: what the ground gives, and what must not be compared.</summary>
public class ChartSurroundingsTests
{
    private const int Width = 960, Height = 540;

    // Places of the ground are counted in cells of the chart, which lies from (0, 0) to (6, 4).
    private static readonly Homography s_first = View([new(400, 200), new(570, 205), new(590, 330), new(390, 322)]);
    private static readonly Homography s_second = View([new(380, 190), new(575, 180), new(610, 300), new(370, 318)]);

    [Fact]
    public void Sample_PlainGround_MostCellsAreComparedAndHoldTheColourMap()
    {
        SampleSet set = Sample(Ground, Ground);
        int left = set.Rejected.Where(r => r.Key != "outside").Sum(r => r.Value);
        Assert.True(set.Pairs.Length > 60, $"{set.Pairs.Length} cells");
        Assert.True(set.Pairs.Length > 9 * left, $"{set.Pairs.Length} cells, {left} left out");
        Assert.All(set.Pairs, p => Assert.Equal(Mapped(p.Primary).G, p.Secondary.G, 0.006));
    }

    // A crate stands on the ground: from another place it covers other ground.
    [Fact]
    public void Sample_AThingThatStandsOutOfThePlane_IsLeftOut()
    {
        SampleSet set = Sample(
            (x, y) => x is > 7 and < 9.5 && y is > -1 and < 2 ? new CodeRgb(0.55, 0.15, 0.1) : Ground(x, y),
            (x, y) => x is > 8.7 and < 11.2 && y is > -1 and < 2 ? new CodeRgb(0.55, 0.15, 0.1) : Ground(x, y));
        Assert.True(set.Pairs.Length > 50, $"{set.Pairs.Length} cells");
        Assert.All(set.Pairs, p => Assert.Equal(Mapped(p.Primary).R, p.Secondary.R, 0.03));
        Assert.True(set.Rejected.GetValueOrDefault("other texture") + set.Rejected.GetValueOrDefault("other colour") > 0);
    }

    // A chart held up before the scene: its plane carries to nothing that is behind it.
    [Fact]
    public void Sample_WhatIsBehindTheChart_IsNotInItsPlaneAndNoneOfItIsCompared()
    {
        SampleSet set = Sample((x, y) => Wall(x, y), (x, y) => Wall(x + 3.3, y + 1.7));
        Assert.Empty(set.Pairs);
        Assert.True(set.Rejected["other texture"] > 0);
    }

    [Fact]
    public void Sample_SomethingThatMovedMeanwhile_IsLeftOut()
    {
        (Picture, Picture, ChartPairing) now = Instant(Ground, Ground);
        (Picture, Picture, ChartPairing) later = Instant(
            (x, y) => x is > 7 and < 9 ? CodeRgb.Grey(0.8) : Ground(x, y), (x, y) => x is > 7 and < 9 ? CodeRgb.Grey(0.8) : Ground(x, y));
        SampleSet one = ChartSurroundings.Sample([now]), both = ChartSurroundings.Sample([now, later]);
        Assert.Equal(one.Pairs.Length - both.Pairs.Length, both.Rejected["moved"]);
        Assert.InRange(both.Rejected["moved"], 5, 40);
    }

    private static SampleSet Sample(Func<double, double, CodeRgb> first, Func<double, double, CodeRgb> second) => ChartSurroundings.Sample([Instant(first, second)]);

    private static (Picture, Picture, ChartPairing) Instant(Func<double, double, CodeRgb> first, Func<double, double, CodeRgb> second)
    {
        Picture a = Seen(first, s_first, c => c, 1), b = Seen(second, s_second, Mapped, 2);
        ChartLayout layout = ChartReference.Chart24.Layout;
        return (a, b, new ChartPairing(ChartSampler.Measure(a, new ChartGeometry(layout, s_first)), ChartSampler.Measure(b, new ChartGeometry(layout, s_second))));
    }

    // Asphalt: grey, lighter to one side, with grain finer than a cell.
    private static CodeRgb Ground(double x, double y) => new(0.36 + (0.004 * x), 0.35 + (0.004 * x), 0.33 + (0.003 * x) + (0.001 * y));

    // Tiles of many greys.
    private static CodeRgb Wall(double x, double y)
    {
        int hash = (((int)Math.Floor(x * 1.3) * 73856093) ^ ((int)Math.Floor(y * 1.3) * 19349663)) & 0xff;
        return CodeRgb.Grey(0.2 + (0.5 * hash / 255));
    }

    private static CodeRgb Mapped(CodeRgb c) => new((0.85 * c.R) + 0.03, (0.9 * c.G) + 0.01, (0.8 * c.B) + 0.06);

    private static Homography View(PicturePoint[] corners) => Homography.Fit([new(0, 0), new(6, 0), new(6, 4), new(0, 4)], corners)!;

    private static Picture Seen(Func<double, double, CodeRgb> scene, Homography view, Func<CodeRgb, CodeRgb> camera, int seed)
    {
        Homography toScene = view.Inverse();
        Random random = new(seed);
        float[] r = new float[Width * Height], g = new float[r.Length], b = new float[r.Length];
        for (int i = 0; i < r.Length; i++)
        {
            PicturePoint at = toScene.Map((i % Width) + 0.5, (i / Width) + 0.5);
            CodeRgb c = camera(at.X is > 0 and < 6 && at.Y is > 0 and < 4 ? CodeRgb.Grey(0.1 + (0.1 * ((int)at.X + (int)at.Y))) : scene(at.X, at.Y));
            double grain = 0.06 * (random.NextDouble() - 0.5);
            (r[i], g[i], b[i]) = ((float)(c.R + grain), (float)(c.G + grain), (float)(c.B + grain));
        }

        return new Picture(Width, Height, r, g, b, SignalEncoding.Srgb);
    }
}
