using Tonematch.Colour;
using Tonematch.Colour.Bulk;
using Tonematch.Colour.DeltaE;
using Xunit;

namespace Tonematch.Core.Tests.Colour.Bulk;

public class LabKernelTests
{
    // The promise of LabKernel: distance in CIELAB from the exact scalar code.
    private const double Promise = 1e-3;

    // In SDR; in HDR all that narrow-range video can carry.
    private static (float Low, float High) Domain(SignalEncoding encoding) => encoding.IsHdr ? (-0.07f, 1.09f) : (-0.5f, 1.5f);

    public static TheoryData<string> Encodings => [.. SignalEncoding.All.Select(e => e.Name)];

    [Theory]
    [MemberData(nameof(Encodings))]
    public void ToLab_AimedCodesOverTheWholeDomain_KeepsItsPromiseAgainstTheScalarCode(string name)
    {
        SignalEncoding encoding = Named(name);
        (float low, float high) = Domain(encoding);
        float[][] codes = [.. Codes(50_000, seed: 3).Select(plane => plane.Select(c => Math.Clamp(c, low, high)).ToArray())];
        float[][] lab = ToLab(encoding, codes);
        double largest = 0;
        int where = 0;
        for (int i = 0; i < codes[0].Length; i++)
        {
            Lab exact = encoding.ToLab(new CodeRgb(codes[0][i], codes[1][i], codes[2][i]));
            double error = DeltaE76.Between(exact, new Lab(lab[0][i], lab[1][i], lab[2][i]));
            Assert.False(double.IsNaN(error));
            (largest, where) = error > largest ? (error, i) : (largest, where);
        }

        Assert.True(
            largest < Promise,
            $"{largest:E2} at {codes[0][where]:R} {codes[1][where]:R} {codes[2][where]:R}.");
    }

    [Theory]
    [InlineData("bt709")]
    [InlineData("hlg")]
    public void ToLab_EveryLength_GivesWhatEachColourGivesAlone(string name)
    {
        SignalEncoding encoding = Named(name);
        float[][] codes = Codes(600, seed: 4);
        float[][] alone = [new float[600], new float[600], new float[600]];
        for (int i = 0; i < 600; i++)
        {
            LabKernel.ToLab(
                encoding,
                codes[0].AsSpan(i, 1),
                codes[1].AsSpan(i, 1),
                codes[2].AsSpan(i, 1),
                alone[0].AsSpan(i, 1),
                alone[1].AsSpan(i, 1),
                alone[2].AsSpan(i, 1));
        }

        foreach (int n in Enumerable.Range(0, 257).Concat([511, 512, 513, 600]))
        {
            // One float beyond the end: it must stay as it is.
            float[][] lab = [[.. Enumerable.Repeat(-7f, n + 1)], [.. Enumerable.Repeat(-7f, n + 1)], [.. Enumerable.Repeat(-7f, n + 1)]];
            LabKernel.ToLab(encoding, codes[0].AsSpan(0, n), codes[1].AsSpan(0, n), codes[2].AsSpan(0, n), lab[0], lab[1], lab[2]);
            for (int c = 0; c < 3; c++)
            {
                Assert.True(alone[c].AsSpan(0, n).SequenceEqual(lab[c].AsSpan(0, n)), $"length {n}, channel {c}");
                Assert.Equal(-7f, lab[c][n]);
            }
        }
    }

    [Fact]
    public void ToLab_IntoItsOwnInputs_GivesTheSame()
    {
        float[][] codes = Codes(1000, seed: 5);
        float[][] apart = ToLab(SignalEncoding.Srgb, codes);
        LabKernel.ToLab(SignalEncoding.Srgb, codes[0], codes[1], codes[2], codes[2], codes[0], codes[1]);
        Assert.Equal(apart[0], codes[2]);
        Assert.Equal(apart[1], codes[0]);
        Assert.Equal(apart[2], codes[1]);
    }

    [Theory]
    [MemberData(nameof(Encodings))]
    public void ToLab_NaNInOneChannel_IsNaNThereAndNowhereElse(string name)
    {
        float[][] codes = Codes(67, seed: 6);
        codes[0][3] = codes[1][20] = codes[2][66] = float.NaN;
        float[][] lab = ToLab(Named(name), codes);
        for (int i = 0; i < 67; i++)
        {
            bool broken = i is 3 or 20 or 66;
            Assert.True(lab.All(plane => float.IsNaN(plane[i]) == broken), $"colour {i}");
        }
    }

    [Fact]
    public void ToLab_LengthsThatDiffer_AreRefused()
    {
        float[] three = new float[3], two = new float[2];
        Assert.Throws<ArgumentException>(() => LabKernel.ToLab(SignalEncoding.Srgb, three, two, three, three, three, three));
        Assert.Throws<ArgumentException>(() => LabKernel.ToLab(SignalEncoding.Srgb, three, three, two, three, three, three));
        Assert.Throws<ArgumentException>(() => LabKernel.ToLab(SignalEncoding.Srgb, three, three, three, three, two, three));
    }

    private static SignalEncoding Named(string name) => SignalEncoding.All.Single(e => e.Name == name);

    private static float[][] ToLab(SignalEncoding encoding, float[][] codes)
    {
        float[][] lab = [new float[codes[0].Length], new float[codes[0].Length], new float[codes[0].Length]];
        LabKernel.ToLab(encoding, codes[0], codes[1], codes[2], lab[0], lab[1], lab[2]);
        return lab;
    }

    private static float[][] Codes(int count, int seed)
    {
        Random random = new(seed);
        float[] special = [0, 1, -0f, 0.04045f, 0.0404501f, 0.5f, 0.50001f, 1e-9f, 1e-40f, 1.5f, -0.5f, 0.99999994f, 0.0812f];
        float One() => random.Next(8) switch
        {
            0 => special[random.Next(special.Length)],
            1 => (2 * random.NextSingle()) - 0.5f,
            2 => 0.1f * random.NextSingle(),
            _ => random.NextSingle(),
        };
        float[][] codes = [new float[count], new float[count], new float[count]];
        for (int i = 0; i < count; i++)
        {
            float grey = One();
            bool isGrey = i % 5 == 0;
            for (int c = 0; c < 3; c++)
            {
                codes[c][i] = isGrey ? grey : One();
            }
        }

        return codes;
    }
}
