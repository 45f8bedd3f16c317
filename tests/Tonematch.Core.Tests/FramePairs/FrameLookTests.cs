using Tonematch.Colour;
using Tonematch.FramePairs;
using Tonematch.Pictures;
using Xunit;

namespace Tonematch.Core.Tests.FramePairs;

public class FrameLookTests
{
    [Fact]
    public void Measure_BlurredPicture_IsLessSharp()
    {
        Picture sharp = Made((x, y) => ((x / 6) + (y / 6)) % 2 == 0 ? 0.2f : 0.7f);
        Picture blurred = Made((x, y) => (float)(0.45 + (0.2 * Math.Sin(Math.PI * x / 6) * Math.Sin(Math.PI * y / 6))));
        Assert.True(FrameLook.Measure(sharp, null, 0).Sharpness > 3 * FrameLook.Measure(blurred, null, 0).Sharpness);
    }

    [Fact]
    public void Measure_LowerContrast_HasTheSameSharpness()
    {
        Picture full = Made((x, y) => ((x / 6) + (y / 6)) % 2 == 0 ? 0.2f : 0.8f), low = Made((x, y) => ((x / 6) + (y / 6)) % 2 == 0 ? 0.4f : 0.6f);
        Assert.Equal(FrameLook.Measure(full, null, 0).Sharpness, FrameLook.Measure(low, null, 0).Sharpness, 1e-3);
    }

    [Fact]
    public void Measure_LightThatChanges_IsNotMotion()
    {
        Picture before = Made((x, y) => 0.2f + (0.002f * x)), brighter = Made((x, y) => 0.3f + (0.002f * x)), moved = Made((x, y) => 0.2f + (0.002f * (119 - x)));
        Assert.Equal(0, FrameLook.Measure(brighter, before, 1).Motion!.Value, 1e-6);
        Assert.True(FrameLook.Measure(moved, before, 1).Motion > 0.05);
        Assert.Null(FrameLook.Measure(before, null, 1).Motion);
    }

    [Fact]
    public void Measure_QuarterClippedQuarterBlack_CountsThem()
    {
        FrameLook look = FrameLook.Measure(Made((x, y) => x < 30 ? 1f : x < 60 ? 0f : 0.5f), null, 0);
        Assert.Equal(0.25, look.ClippedShare, 1e-9);
        Assert.Equal(0.25, look.DarkShare, 1e-9);
    }

    // The mean of one colour is that colour, by the encoding's own CIELAB.
    [Fact]
    public void Measure_OneColour_HasItsLab()
    {
        CodeRgb code = new(0.6, 0.4, 0.3);
        float[] Plane(double v) => [.. Enumerable.Repeat((float)v, 120 * 80)];
        FrameLook look = FrameLook.Measure(new Picture(120, 80, Plane(code.R), Plane(code.G), Plane(code.B), SignalEncoding.Bt709), null, 0);
        Lab lab = SignalEncoding.Bt709.ToLab(code);
        Assert.Equal(lab.L, look.MeanLightness, 1e-4);
        Assert.Equal(lab.A, look.MeanA, 1e-4);
        Assert.Equal(lab.B, look.MeanB, 1e-4);
        Assert.Equal(0, look.Sharpness);
    }

    [Fact]
    public void Measure_UnlikeSizes_AreRefused() => Assert.Throws<ArgumentException>(() =>
        FrameLook.Measure(Made((_, _) => 0.5f), new Picture(1, 1, [0], [0], [0], SignalEncoding.Srgb), 0));

    private static Picture Made(Func<int, int, float> value)
    {
        float[] plane = [.. Enumerable.Range(0, 120 * 80).Select(k => value(k % 120, k / 120))];
        return new Picture(120, 80, plane, plane, plane, SignalEncoding.Bt709);
    }
}
