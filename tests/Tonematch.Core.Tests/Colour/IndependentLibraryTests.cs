using System.Globalization;
using System.Runtime.InteropServices;
using System.Text;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Colour;

/// <summary>The colour values against independent general-purpose libraries, on ten thousand aimed colours.</summary>
public class IndependentLibraryTests
{
    private const int Count = 10_000;

    // [scikit-image], double precision: what is left is rounding; its size grows with the difference (up to 300).
    private const double Rounding = 1e-10;

    // CIE94 and CMC of scikit-image start from Delta H^2 = 2 (C1 C2 - dot), which cancels for close colours: with a
    // chroma of 181 it is 2 x 181^2 x 2.2e-16 off, and its square root 4e-6 (equal colours are 2e-6 apart there).
    private const double Cancellation = 4e-6;

    [Theory]
    [InlineData("deltaE_cie76", Rounding)]
    [InlineData("deltaE_ciede2000", 1e-7)] // in a pair of near-greys the angles of scikit-image lose what its cancelling loses
    [InlineData("deltaE_ciede94", Cancellation)]
    [InlineData("deltaE_ciede94(k1=0.048,k2=0.014,kL=2)", Cancellation)]
    [InlineData("deltaE_cmc", Cancellation)]
    [InlineData("deltaE_cmc(kL=2)", Cancellation)]
    public void DeltaE_AimedPairs_AgreesWithScikitImage(string function, double tolerance)
    {
        Func<Lab, Lab, double> ours = function switch
        {
            "deltaE_cie76" => DeltaE76.Between,
            "deltaE_ciede2000" => DeltaE2000.Between,
            "deltaE_ciede94" => DeltaE94.GraphicArts,
            "deltaE_ciede94(k1=0.048,k2=0.014,kL=2)" => DeltaE94.Textiles,
            "deltaE_cmc" => (a, b) => DeltaECmc.Between(a, b, 1),
            "deltaE_cmc(kL=2)" => (a, b) => DeltaECmc.Between(a, b, 2),
            _ => throw new ArgumentOutOfRangeException(nameof(function)),
        };
        (Lab First, Lab Second)[] pairs = AimedColours.LabPairs(Count, seed: 1);
        string[] call = function.TrimEnd(')').Split('(');
        double[] theirs = RunPython(
            $"from skimage.color import {call[0]} as f; x = x.reshape(-1, 6); y = f(x[:, :3], x[:, 3:]{(call.Length > 1 ? ", " + call[1] : "")})",
            [.. pairs.SelectMany(p => new[] { p.First.L, p.First.A, p.First.B, p.Second.L, p.Second.A, p.Second.B })]);
        AssertClose(theirs, [.. pairs.Select(p => ours(p.First, p.Second))], tolerance, i => $"{pairs[i]}");
    }

    // scikit-image has its own rounding of sRGB: a matrix and a D65 of six digits (0.95047, 1, 1.08883). With those two
    // put in, the computation is the same; its toe constants (0.008856, 7.787) are rounded too.
    [Fact]
    public void ToLab_AimedSrgbColours_AgreesWithScikitImage()
    {
        CodeRgb[] codes = SrgbCodes();
        double[] theirs = RunPython(
            "from skimage.color import rgb2lab as f; y = f(x.reshape(-1, 1, 3))", [.. codes.SelectMany(c => new[] { c.R, c.G, c.B })]);

        Matrix3 theirMatrix = new(0.412453, 0.357580, 0.180423, 0.212671, 0.715160, 0.072169, 0.019334, 0.119193, 0.950227);
        Xyz theirWhite = new(0.95047, 1, 1.08883);
        double largestAbove = 0, largestToe = 0, largestOwn = 0;
        for (int i = 0; i < codes.Length; i++)
        {
            Lab their = new(theirs[3 * i], theirs[(3 * i) + 1], theirs[(3 * i) + 2]);
            SceneRgb light = SignalEncoding.Srgb.ToScene(codes[i]);
            (double x, double y, double z) = theirMatrix.Times(light.R, light.G, light.B);
            double same = DeltaE76.Between(their, Lab.FromXyz(new Xyz(x, y, z), theirWhite));
            bool toe = Math.Min(x / theirWhite.X, Math.Min(y, z / theirWhite.Z)) < 0.00886;
            largestAbove = Math.Max(largestAbove, toe ? 0 : same);
            largestToe = Math.Max(largestToe, toe ? same : 0);
            largestOwn = Math.Max(largestOwn, DeltaE76.Between(their, SignalEncoding.Srgb.ToLab(codes[i])));
        }

        Assert.True(largestAbove < 1e-9, $"{largestAbove}");
        Assert.True(largestToe < 3e-4, $"{largestToe}");

        // With the exact matrix and white of the primaries: what six digits of the white are worth.
        Assert.InRange(largestOwn, 1e-4, 0.04);
    }

    // [LittleCMS] sees sRGB through an ICC profile: D65 carried to D50 by Bradford, numbers of 16 bits behind the point.
    // So this checks primaries, curve, adaptation and CIELAB under another white, end to end.
    [Fact]
    public void SrgbToLabUnderD50_AimedColours_AgreesWithLittleCms()
    {
        CodeRgb[] codes = [.. SrgbCodes().Take(2000)];
        ExternalTool transicc = ExternalTool.RequireProgram("transicc");
        StringBuilder input = new();
        foreach (CodeRgb c in codes)
        {
            input.Append(CultureInfo.InvariantCulture, $"{255 * c.R:R} {255 * c.G:R} {255 * c.B:R}\n");
        }

        string[] lines = Encoding.ASCII.GetString(transicc.Run(["-c0", "-n", "-v0", "-t1", "-i*sRGB", "-o*Lab4"], Encoding.ASCII.GetBytes(input.ToString())))
            .Split('\n', StringSplitOptions.RemoveEmptyEntries);
        double[][] theirs = [.. lines.Select(l => l.Split(' ', StringSplitOptions.RemoveEmptyEntries))
            .Where(f => f.Length == 3 && f.All(t => double.TryParse(t, CultureInfo.InvariantCulture, out _)))
            .Select(f => f.Select(t => double.Parse(t, CultureInfo.InvariantCulture)).ToArray())];
        Assert.Equal(codes.Length, theirs.Length);

        // The white of the profile connection space (ICC.1): D50 as 0.9642, 1, 0.8249.
        Xyz d50 = new(0.9642, 1, 0.8249);
        Matrix3 toD50 = Adaptation.Bradford(SignalEncoding.Srgb.White, d50) * SignalEncoding.Srgb.RgbToXyz;
        double largest = 0;
        for (int i = 0; i < codes.Length; i++)
        {
            SceneRgb light = SignalEncoding.Srgb.ToScene(codes[i]);
            (double x, double y, double z) = toD50.Times(light.R, light.G, light.B);
            Lab ours = Lab.FromXyz(new Xyz(x, y, z), d50);
            largest = Math.Max(largest, DeltaE76.Between(ours, new Lab(theirs[i][0], theirs[i][1], theirs[i][2])));
        }

        Assert.True(largest < 0.02, $"{largest}");
    }

    private static CodeRgb[] SrgbCodes()
    {
        Random random = new(2);
        double[] special = [0, 1, 0.04045, 0.0404, 0.0405, 1 / 255.0];
        double One() => random.Next(5) == 0 ? special[random.Next(special.Length)] : random.NextDouble();
        return [.. Enumerable.Range(0, Count).Select(i => i % 4 == 0 ? CodeRgb.Grey(One()) : new CodeRgb(One(), One(), One()))];
    }

    private static double[] RunPython(string script, double[] input)
    {
        ExternalTool python = ExternalTool.Python("skimage");
        byte[] output = python.Run(
            ["-c", $"import sys, numpy as np; x = np.frombuffer(sys.stdin.buffer.read()); {script}; sys.stdout.buffer.write(np.ascontiguousarray(y, float).tobytes())"],
            MemoryMarshal.AsBytes(input.AsSpan()).ToArray());
        return MemoryMarshal.Cast<byte, double>(output).ToArray();
    }

    private static void AssertClose(double[] theirs, double[] ours, double tolerance, Func<int, string> name)
    {
        Assert.Equal(theirs.Length, ours.Length);
        int worst = Enumerable.Range(0, ours.Length).MaxBy(i => Math.Abs(ours[i] - theirs[i]));
        Assert.True(
            Math.Abs(ours[worst] - theirs[worst]) <= tolerance,
            $"{name(worst)}: {ours[worst]:R} here, {theirs[worst]:R} there, off by {Math.Abs(ours[worst] - theirs[worst]):E2}.");
    }
}
