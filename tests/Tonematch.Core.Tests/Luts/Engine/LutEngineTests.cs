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

    public static TheoryData<LutMethod, int> MethodsAndSizes() =>
        new MatrixTheoryData<LutMethod, int>([LutMethod.Tetrahedral, LutMethod.Trilinear], [2, 3, 17, 33, 65]) is var m
            ? [.. m.Select(r => (r.Data.Item1, r.Data.Item2))]
            : [];

    [Theory]
    [MemberData(nameof(MethodsAndSizes))]
    public void Apply_Floats_AreTheSpecificationsToFloatRounding(LutMethod method, int size)
    {
        Lut3D lut = MadeTables.Random(size, size);
        CodeRgb[] colours = LutOracles.Colours(size);
        (float[] r, float[] g, float[] b) = Planes(colours);
        new LutEngine(lut, method).Apply(r, g, b, r, g, b);
        for (int i = 0; i < colours.Length; i++)
        {
            CodeRgb expected = LutInterpolation.Apply(lut, colours[i], method);
            Assert.True(
                Math.Abs(expected.R - r[i]) < FloatRounding && Math.Abs(expected.G - g[i]) < FloatRounding && Math.Abs(expected.B - b[i]) < FloatRounding,
                $"{colours[i]}: {expected}, engine {r[i]} {g[i]} {b[i]}");
        }
    }

    // All formats, every length, values of every kind: the same bits with and without vectors, nothing written beyond.
    [Theory]
    [InlineData(LutMethod.Tetrahedral)]
    [InlineData(LutMethod.Trilinear)]
    public void Apply_EveryLengthAndFormat_GivesTheSameBitsWithAndWithoutVectors(LutMethod method)
    {
        Assert.SkipUnless(Vector128.IsHardwareAccelerated, "this machine has no vectors: there is nothing to compare");
        Lut3D lut = new(5, MadeTables.Random(5, 11).Nodes.ToArray(), new CodeRgb(-0.25, 0, 0.1), new CodeRgb(1.5, 1, 0.9));
        LutEngine fast = new(lut, method, scalar: false), plain = new(lut, method, scalar: true);
        Random random = new(3);
        for (int n = 0; n <= 256; n++)
        {
            float[] f = [.. Enumerable.Range(0, 3 * n).Select(_ => random.Next(6) == 0 ? s_odd[random.Next(s_odd.Length)] : random.NextSingle())];
            byte[] bytes = new byte[3 * n];
            random.NextBytes(bytes);
            ushort[] words = [.. Enumerable.Range(0, 3 * n).Select(_ => (ushort)random.Next(65536))];

            Same(n, 7f, f, (e, i, o) => e.Apply(i.AsSpan(0, n), i.AsSpan(n, n), i.AsSpan(2 * n, n), o.AsSpan(0, n), o.AsSpan(n, n), o.AsSpan(2 * n, n)));
            Same(n, (byte)99, bytes, (e, i, o) => e.Apply(i.AsSpan(0, n), i.AsSpan(n, n), i.AsSpan(2 * n, n), o.AsSpan(0, n), o.AsSpan(n, n), o.AsSpan(2 * n, n)));
            Same(n, (byte)99, bytes, (e, i, o) => e.Apply(i.AsSpan(0, 3 * n), o.AsSpan(0, 3 * n)));
            Same(n, (ushort)999, words, (e, i, o) => e.Apply(i.AsSpan(0, n), i.AsSpan(n, n), i.AsSpan(2 * n, n), o.AsSpan(0, n), o.AsSpan(n, n), o.AsSpan(2 * n, n)));
            Same(n, (ushort)999, words, (e, i, o) => e.Apply(i.AsSpan(0, 3 * n), o.AsSpan(0, 3 * n)));
            Same(n, (ushort)999, words, (e, i, o) => e.Apply(i.AsSpan(0, 3 * n), o.AsSpan(0, 3 * n), 1023));
        }

        void Same<T>(int n, T canary, T[] input, Action<LutEngine, T[], T[]> apply)
            where T : unmanaged
        {
            // Room for 32 values more at the end must stay as it is.
            T[] guarded = [.. input, .. Enumerable.Repeat(canary, 32)];
            T[] a = [.. Enumerable.Repeat(canary, guarded.Length)], b = [.. a], inPlace = [.. guarded];
            apply(fast, guarded, a);
            apply(plain, guarded, b);
            apply(fast, inPlace, inPlace);
            Assert.Equal(b, a);
            Assert.Equal(b, inPlace);
            Assert.All(a.AsSpan(3 * n).ToArray(), v => Assert.Equal(canary, v));
        }
    }

    [Theory]
    [InlineData(LutMethod.Tetrahedral)]
    [InlineData(LutMethod.Trilinear)]
    public void Apply_FloatsThatAreNoColours_GiveWhatTheSpecificationSays(LutMethod method)
    {
        Lut3D lut = MadeTables.Random(4, 8);
        LutEngine engine = new(lut, method);
        Gen.Select(Gen.OneOf(s_odd), Gen.OneOf(s_odd), Gen.OneOf(s_odd)).Sample((x, y, z) =>
        {
            float[] r = [x], g = [y], b = [z];
            engine.Apply(r, g, b, r, g, b);
            CodeRgb expected = LutInterpolation.Apply(lut, new CodeRgb(x, y, z), method);
            Assert.Equal(expected.R, r[0], 1e-6);
            Assert.Equal(expected.G, g[0], 1e-6);
            Assert.Equal(expected.B, b[0], 1e-6);
        });
    }

    [Theory]
    [InlineData(2)]
    [InlineData(17)]
    [InlineData(33)]
    [InlineData(65)]
    public void Apply_IdentityTable_ChangesNoCodeOfAnyDepth(int size)
    {
        LutEngine engine = new(Lut3D.Identity(size));
        byte[] bytes = [.. Enumerable.Range(0, 256 * 3).Select(i => (byte)(i * 7))];
        byte[] bytesOut = new byte[bytes.Length];
        engine.Apply(bytes.AsSpan(), bytesOut);
        Assert.Equal(bytes, bytesOut);
        foreach (int maxCode in new[] { 1023, 4095, 65535 })
        {
            ushort[] words = [.. Enumerable.Range(0, maxCode + 1).Select(i => (ushort)i)];
            ushort[] r = new ushort[words.Length], g = new ushort[words.Length], b = new ushort[words.Length];
            engine.Apply(words, words, words, r, g, b, maxCode);
            Assert.Equal(words, r);
            Assert.Equal(words, g);
            Assert.Equal(words, b);
        }
    }

    [Fact]
    public void Apply_Integers_AreTheSpecificationRoundedAndLimited()
    {
        Lut3D lut = MadeTables.Random(17, 2);
        Random random = new(1);
        byte[] bytes = new byte[3000], result = new byte[3000];
        random.NextBytes(bytes);
        new LutEngine(lut).Apply(bytes.AsSpan(), result);
        for (int i = 0; i < 3000; i += 3)
        {
            CodeRgb exact = LutInterpolation.Tetrahedral(lut, new CodeRgb(bytes[i] / 255.0, bytes[i + 1] / 255.0, bytes[i + 2] / 255.0)).Clamped();
            // Half a code, and float rounding on top.
            Assert.True(Math.Abs((exact.R * 255) - result[i]) < 0.502 && Math.Abs((exact.G * 255) - result[i + 1]) < 0.502 && Math.Abs((exact.B * 255) - result[i + 2]) < 0.502);
        }
    }

    [Fact]
    public void ApplyOnAllCores_ManyPixels_EqualsOneThreadInEveryFormat()
    {
        const int n = 100_003;
        LutEngine engine = new(MadeTables.Random(9, 5));
        Random random = new(4);
        float[] f = [.. Enumerable.Range(0, 3 * n).Select(_ => random.NextSingle())];
        byte[] bytes = new byte[3 * n];
        random.NextBytes(bytes);
        ushort[] words = [.. bytes.Select(v => (ushort)(v * 257))];

        Same(f, (i, o) => engine.Apply(i.AsSpan(0, n), i.AsSpan(n, n), i.AsSpan(2 * n), o.AsSpan(0, n), o.AsSpan(n, n), o.AsSpan(2 * n)),
            (i, o) => engine.ApplyOnAllCores(i.AsMemory(0, n), i.AsMemory(n, n), i.AsMemory(2 * n), o.AsMemory(0, n), o.AsMemory(n, n), o.AsMemory(2 * n)));
        Same(bytes, (i, o) => engine.Apply(i.AsSpan(0, n), i.AsSpan(n, n), i.AsSpan(2 * n), o.AsSpan(0, n), o.AsSpan(n, n), o.AsSpan(2 * n)),
            (i, o) => engine.ApplyOnAllCores(i.AsMemory(0, n), i.AsMemory(n, n), i.AsMemory(2 * n), o.AsMemory(0, n), o.AsMemory(n, n), o.AsMemory(2 * n)));
        Same(words, (i, o) => engine.Apply(i.AsSpan(0, n), i.AsSpan(n, n), i.AsSpan(2 * n), o.AsSpan(0, n), o.AsSpan(n, n), o.AsSpan(2 * n)),
            (i, o) => engine.ApplyOnAllCores(i.AsMemory(0, n), i.AsMemory(n, n), i.AsMemory(2 * n), o.AsMemory(0, n), o.AsMemory(n, n), o.AsMemory(2 * n)));
        Same(bytes, (i, o) => engine.Apply(i.AsSpan(), o), (i, o) => engine.ApplyOnAllCores(i, o));
        Same(words, (i, o) => engine.Apply(i.AsSpan(), o), (i, o) => engine.ApplyOnAllCores(i, o));

        static void Same<T>(T[] input, Action<T[], T[]> one, Action<T[], T[]> all)
        {
            T[] a = new T[input.Length], b = new T[input.Length];
            one(input, a);
            all(input, b);
            Assert.Equal(a, b);
        }
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
        byte[] bytes = new byte[30_000];
        engine.Apply(bytes.AsSpan(), bytes);
        long before = GC.GetAllocatedBytesForCurrentThread();
        engine.Apply(bytes.AsSpan(), bytes);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Fact]
    public void Apply_LengthsThatDiffer_AreTheCallersMistake()
    {
        LutEngine engine = new(Lut3D.Identity(2));
        Assert.Throws<ArgumentException>(() => engine.Apply(new float[2], new float[2], new float[2], new float[2], new float[2], new float[1]));
        Assert.Throws<ArgumentException>(() => engine.Apply(new byte[4].AsSpan(), new byte[4]));
        Assert.Throws<ArgumentException>(() => engine.Apply(new ushort[6].AsSpan(), new ushort[3]));
        Assert.Throws<ArgumentOutOfRangeException>(() => engine.Apply(new ushort[6].AsSpan(), new ushort[6], 100));
    }

    private static (float[] R, float[] G, float[] B) Planes(CodeRgb[] colours) => (
        [.. colours.Select(c => (float)c.R)], [.. colours.Select(c => (float)c.G)], [.. colours.Select(c => (float)c.B)]);
}
