using System.Runtime.Intrinsics;
using CsCheck;
using Tonematch.Colour;
using Tonematch.Core.Tests.Luts.Tables;
using Tonematch.Luts;
using Tonematch.Luts.Tables;
using Tonematch.Pictures;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Luts.Engine;

public class LutEngineTests
{
    // A code's place in a table of 65 nodes is rounded to float twice (4e-6 of a cell each); random tables change by up
    // to 1.4 from node to node, on three axes.
    private const double FloatRounding = 2e-5;

    private static readonly float[] s_odd = [float.NaN, float.PositiveInfinity, float.NegativeInfinity, -1, -0f, 0, 1e-38f, 1, 1.0000001f, 2, 1e30f, 0.5f];

    [Theory]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(17)]
    [InlineData(33)]
    [InlineData(65)]
    public void Apply_Floats_AreTheSpecificationsToFloatRounding(int size)
    {
        Lut3D lut = MadeTables.Random(size, size);
        CodeRgb[] colours = LutOracles.Colours(size);
        (float[] r, float[] g, float[] b) = Planes(colours);
        new LutEngine(lut).Apply(r, g, b, r, g, b);
        for (int i = 0; i < colours.Length; i++)
        {
            CodeRgb expected = LutInterpolation.Tetrahedral(lut, colours[i]);
            Assert.True(
                Math.Abs(expected.R - r[i]) < FloatRounding && Math.Abs(expected.G - g[i]) < FloatRounding && Math.Abs(expected.B - b[i]) < FloatRounding,
                $"{colours[i]}: {expected}, engine {r[i]} {g[i]} {b[i]}");
        }
    }

    // Every length, values of every kind: the same bits with and without vectors, nothing written beyond.
    [Fact]
    public void Apply_EveryLength_GivesTheSameBitsWithAndWithoutVectors()
    {
        Assert.SkipUnless(Vector128.IsHardwareAccelerated, "this machine has no vectors: there is nothing to compare");
        Lut3D lut = new(5, MadeTables.Random(5, 11).Nodes.ToArray(), new CodeRgb(-0.25, 0, 0.1), new CodeRgb(1.5, 1, 0.9));
        LutEngine fast = new(lut, scalar: false), plain = new(lut, scalar: true);
        Random random = new(3);
        for (int n = 0; n <= 256; n++)
        {
            // Room for 32 values more at the end must stay as it is.
            float[] input = [
                .. Enumerable.Range(0, 3 * n).Select(_ => random.Next(6) == 0 ? s_odd[random.Next(s_odd.Length)] : random.NextSingle()),
                .. Enumerable.Repeat(7f, 32)];
            float[] a = [.. Enumerable.Repeat(7f, input.Length)], b = [.. a], inPlace = [.. input];
            Apply(fast, input, a);
            Apply(plain, input, b);
            Apply(fast, inPlace, inPlace);
            Assert.Equal(b, a);
            Assert.Equal(b, inPlace);
            Assert.All(a.AsSpan(3 * n).ToArray(), v => Assert.Equal(7f, v));

            void Apply(LutEngine engine, float[] i, float[] o) => engine.Apply(
                i.AsSpan(0, n), i.AsSpan(n, n), i.AsSpan(2 * n, n), o.AsSpan(0, n), o.AsSpan(n, n), o.AsSpan(2 * n, n));
        }
    }

    [Fact]
    public void Apply_FloatsThatAreNoColours_GiveWhatTheSpecificationSays()
    {
        Lut3D lut = MadeTables.Random(4, 8);
        LutEngine engine = new(lut);
        Gen.Select(Gen.OneOf(s_odd), Gen.OneOf(s_odd), Gen.OneOf(s_odd)).Sample((x, y, z) =>
        {
            float[] r = [x], g = [y], b = [z];
            engine.Apply(r, g, b, r, g, b);
            CodeRgb expected = LutInterpolation.Tetrahedral(lut, new CodeRgb(x, y, z));
            Assert.Equal(expected.R, r[0], 1e-6);
            Assert.Equal(expected.G, g[0], 1e-6);
            Assert.Equal(expected.B, b[0], 1e-6);
        });
    }

    [Fact]
    public void Apply_LargePictureOnAllCores_EqualsOneThread()
    {
        const int n = 100_003;
        LutEngine engine = new(MadeTables.Random(9, 5));
        Random random = new(4);
        float[] Draw() => [.. Enumerable.Range(0, n).Select(_ => random.NextSingle())];
        (float[] r, float[] g, float[] b) = (Draw(), Draw(), Draw());
        Picture all = engine.Apply(new Picture(n, 1, [.. r], [.. g], [.. b], SignalEncoding.Bt709));
        engine.Apply(r, g, b, r, g, b);
        Assert.Equal(r, all.R.ToArray());
        Assert.Equal(g, all.G.ToArray());
        Assert.Equal(b, all.B.ToArray());
    }

    [Fact]
    public void Apply_Picture_KeepsItsShapeAndTakesTheOutputsEncoding()
    {
        Lut3D lut = MadeTables.Random(9, 5);
        (float[] r, float[] g, float[] b) = Planes(LutOracles.Colours(9)[..35]);
        Picture result = new LutEngine(lut).Apply(new Picture(7, 5, r, g, b, SignalEncoding.Bt709), SignalEncoding.Srgb);
        Assert.Equal((7, 5, SignalEncoding.Srgb), (result.Width, result.Height, result.Encoding));
        CodeRgb expected = LutInterpolation.Tetrahedral(lut, new CodeRgb(r[23], g[23], b[23]));
        Assert.Equal(expected.R, result[2, 3].R, FloatRounding);
        Assert.Equal(expected.B, result[2, 3].B, FloatRounding);
    }

    [Fact]
    public void Apply_OneThread_AllocatesNothing()
    {
        LutEngine engine = new(Lut3D.Identity(17));
        float[] plane = new float[10_000];
        engine.Apply(plane, plane, plane, plane, plane, plane);
        long before = GC.GetAllocatedBytesForCurrentThread();
        engine.Apply(plane, plane, plane, plane, plane, plane);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Fact]
    public void Apply_LengthsThatDiffer_AreTheCallersMistake() => Assert.Throws<ArgumentException>(
        () => new LutEngine(Lut3D.Identity(2)).Apply(new float[2], new float[2], new float[2], new float[2], new float[2], new float[1]));

    private static (float[] R, float[] G, float[] B) Planes(CodeRgb[] colours) => (
        [.. colours.Select(c => (float)c.R)], [.. colours.Select(c => (float)c.G)], [.. colours.Select(c => (float)c.B)]);
}
