using CsCheck;
using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;
using Xunit;

namespace Tonematch.Core.Tests.Samples.Charts;

public class ChartSamplerTests
{
    private static readonly ChartReference s_chart = ChartReference.Chart24;

    [Fact]
    public void Fit_PointsOfAKnownMapping_AreMappedExactly()
    {
        Gen.Double[-3, 3].Array[8].Sample(m =>
        {
            Homography known = new(new Matrix3(40 + m[0], m[1], 100, m[2], 30 + m[3], 80, m[4] / 100, m[5] / 100, 1));
            PicturePoint[] from = [new(0, 0), new(6, 0), new(6, 4), new(0, 4), new(3, 1), new(2, 3)];
            PicturePoint[] to = [.. from.Select(p => known.Map(p.X, p.Y))];
            foreach (int n in (int[])[4, 6])
            {
                Homography found = Homography.Fit(from.AsSpan(0, n), to.AsSpan(0, n))!;
                PicturePoint a = known.Map(4.5, 2.5), b = found.Map(4.5, 2.5);
                Assert.Equal(a.X, b.X, 1e-6);
                Assert.Equal(a.Y, b.Y, 1e-6);
            }
        }, iter: 200);
    }

    [Fact]
    public void FromCorners_ThreeOnALineOrCrossing_IsNoChart()
    {
        Assert.Null(ChartGeometry.FromCorners(s_chart.Layout, [new(0, 0), new(50, 0), new(100, 0), new(0, 100)]));
        Assert.Null(ChartGeometry.FromCorners(s_chart.Layout, [new(0, 0), new(100, 100), new(100, 0), new(0, 100)]));
        Assert.Null(ChartGeometry.FromCorners(s_chart.Layout, [new(5, 5), new(5, 5), new(5, 5), new(5, 5)]));
    }

    [Fact]
    public void Measure_ATiltedChart_GivesEveryPatchItsColour()
    {
        Picture picture = DrawnChart.Draw(s_chart, DrawnChart.Tilted, (_, c) => new CodeRgb(0.1 + (0.7 * c.R), 0.1 + (0.7 * c.G), 0.1 + (0.7 * c.B)));
        ChartMeasurement m = ChartSampler.Measure(picture, ChartGeometry.FromCorners(s_chart.Layout, DrawnChart.Tilted)!);
        Assert.Equal(24, m.UsableCount);
        foreach (PatchMeasurement p in m.Patches)
        {
            CodeRgb c = s_chart.CodeOf(p.Index, SignalEncoding.Srgb).Clamped();
            Assert.Equal(0.1 + (0.7 * c.R), p.Colour.R, 1e-6);
            Assert.Equal(0.1 + (0.7 * c.B), p.Colour.B, 1e-6);
            Assert.True(p.PixelCount > 300);
        }
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void MeasureTurned_CornersInAnyOrder_AreReadTheRightWayUp(int firstGiven)
    {
        Picture picture = DrawnChart.Draw(s_chart, DrawnChart.Tilted, (_, c) => new CodeRgb(0.15 + (0.6 * c.R), 0.1 + (0.7 * c.G), 0.2 + (0.5 * c.B)));
        PicturePoint[] given = [.. DrawnChart.Tilted[firstGiven..], .. DrawnChart.Tilted[..firstGiven]];
        ChartMeasurement m = ChartRecognition.MeasureTurned(picture, given, s_chart)!;
        Assert.Equal(DrawnChart.Tilted[0].X, m.Geometry.Corners[0].X, 1e-6);
        Assert.Equal(DrawnChart.Tilted[0].Y, m.Geometry.Corners[0].Y, 1e-6);
        ChartMatch match = ChartRecognition.Compare(m, s_chart);
        Assert.Equal(24, match.AgreeingCount);
        Assert.True(match.HasKnownColours);
    }

    [Fact]
    public void MeasureTurned_ColoursOfNoChart_IsRefused()
    {
        Random random = new(5);
        CodeRgb[] any = [.. Enumerable.Range(0, 24).Select(_ => new CodeRgb(random.NextDouble(), random.NextDouble(), random.NextDouble()))];
        Picture picture = DrawnChart.Draw(s_chart, DrawnChart.Tilted, (i, _) => any[i]);
        Assert.Null(ChartRecognition.MeasureTurned(picture, DrawnChart.Tilted, s_chart));
        Picture wall = DrawnPicture.Of(360, 270, (_, _) => CodeRgb.Grey(0.4));
        Assert.Null(ChartRecognition.MeasureTurned(wall, DrawnChart.Tilted, s_chart));
    }

    [Fact]
    public void Compare_AQuarterHidden_IsStillTheChartAndNamesThePatches()
    {
        Picture picture = DrawnChart.Draw(s_chart, DrawnChart.Tilted, (i, c) => i % 6 == 5 || i > 21 ? new CodeRgb(0.35, 0.42, 0.2) : c.Clamped());
        ChartMeasurement m = ChartSampler.Measure(picture, ChartGeometry.FromCorners(s_chart.Layout, DrawnChart.Tilted)!);
        ChartMatch match = ChartRecognition.Compare(m, s_chart);
        Assert.True(match.IsThisKind);
        Assert.Contains(23, match.OutOfLine);
        Assert.Equal(match.OutOfLine.Length, ChartRecognition.WithoutHidden(m, match).Patches.Count(p => p.Fault == PatchFault.Hidden));
    }

    // A shadow takes a share of the light (here to 35 %), which is the physics, not the model of the code under test.
    [Fact]
    public void Compare_APartInTheShade_IsStillTheChartAndNamesTheShadedPatches()
    {
        Picture picture = DrawnChart.Draw(s_chart, DrawnChart.Tilted, (i, c) =>
        {
            SceneRgb l = SignalEncoding.Srgb.ToScene(new CodeRgb(0.03 + (0.9 * c.R), 0.03 + (0.9 * c.G), 0.03 + (0.9 * c.B)));
            double light = i % 6 >= 4 ? 0.35 : 1;
            return SignalEncoding.Srgb.FromScene(new SceneRgb(light * l.R, light * l.G, light * l.B));
        });
        ChartMeasurement m = ChartSampler.Measure(picture, ChartGeometry.FromCorners(s_chart.Layout, DrawnChart.Tilted)!);
        ChartMatch match = ChartRecognition.Compare(m, s_chart);
        Assert.True(match.HasKnownColours);
        Assert.Equal([4, 5, 10, 11, 16, 17, 22, 23], match.Shaded);
        Assert.Equal(8, ChartRecognition.WithoutHidden(m, match).Patches.Count(p => p.Fault == PatchFault.Shaded));
    }

    [Fact]
    public void Measure_ClippedOutsideAndUneven_AreMarked()
    {
        Picture picture = DrawnChart.Draw(s_chart, DrawnChart.Tilted, (i, c) => i == 18 ? CodeRgb.Grey(1) : new CodeRgb(0.1 + (0.7 * c.R), 0.1 + (0.7 * c.G), 0.1 + (0.7 * c.B)), 280, 270);
        ChartMeasurement m = ChartSampler.Measure(picture, ChartGeometry.FromCorners(s_chart.Layout, DrawnChart.Tilted)!);
        Assert.Equal(PatchFault.Clipped, m.Patches[18].Fault);
        Assert.Equal(PatchFault.Outside, m.Patches[5].Fault);
        Assert.Null(m.Patches[0].Fault);
    }
}
