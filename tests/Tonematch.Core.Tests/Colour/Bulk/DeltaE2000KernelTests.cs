using Tonematch.Colour;
using Tonematch.Colour.Bulk;
using Tonematch.Colour.DeltaE;
using Tonematch.Core.Tests.Published;
using Xunit;

namespace Tonematch.Core.Tests.Colour.Bulk;

public class DeltaE2000KernelTests
{
    // The promise of DeltaE2000Kernel against the exact scalar code, on the same (float) inputs.
    private const double Promise = 1e-3;

    // Half a unit of the table's last digit, and the kernel's own rounding.
    private const double PublishedDigits = 7e-5;

    // The 34 pairs of [Sharma2005]; the inputs are rounded to floats (1e-7 of their size).
    [Fact]
    public void Between_PublishedPairs_AgreesToFourDecimalsInBothOrders()
    {
        (Lab First, Lab Second)[] pairs = [.. Ciede2000Pairs.All.Select(p => (p.First, p.Second))];
        float[] there = Between(pairs), back = Between([.. pairs.Select(p => (p.Second, p.First))]);
        for (int i = 0; i < pairs.Length; i++)
        {
            Assert.Equal(Ciede2000Pairs.All[i].DeltaE, there[i], PublishedDigits);
            Assert.Equal(Ciede2000Pairs.All[i].DeltaE, back[i], PublishedDigits);
        }
    }

    [Fact]
    public void Between_AimedPairsOverTheWholeDomain_KeepsItsPromiseAgainstTheScalarCode()
    {
        (Lab First, Lab Second)[] pairs =
        [
            .. AimedColours.LabPairs(80_000, seed: 7).Select(p => (AsFloats(p.First), AsFloats(p.Second))),
            .. Opposed(10_000),
            .. Wide(30_000),
        ];
        float[] got = Between(pairs);
        double largest = 0;
        int where = 0;
        for (int i = 0; i < pairs.Length; i++)
        {
            double error = Math.Abs(got[i] - DeltaE2000.Between(pairs[i].First, pairs[i].Second));
            Assert.False(double.IsNaN(error), $"{pairs[i]}");
            (largest, where) = error > largest ? (error, i) : (largest, where);
        }

        Assert.True(largest < Promise, $"{largest:E2} at {pairs[where]}: {got[where]}.");
    }

    [Fact]
    public void Between_EveryLength_GivesWhatEachPairGivesAlone()
    {
        (Lab First, Lab Second)[] pairs = AimedColours.LabPairs(600, seed: 8);
        float[] alone = [.. pairs.Select(p => Between([p])[0])];
        foreach (int n in Enumerable.Range(0, 257).Concat([511, 512, 513, 600]))
        {
            Assert.True(alone.AsSpan(0, n).SequenceEqual(Between(pairs[..n])), $"length {n}");
        }
    }

    [Fact]
    public void Between_IntoAnyOfItsInputs_GivesTheSameAndTouchesNothingElse()
    {
        (Lab First, Lab Second)[] pairs = AimedColours.LabPairs(700, seed: 9);
        float[] apart = Between(pairs);
        for (int target = 0; target < 6; target++)
        {
            float[][] p = Planes(pairs), untouched = Planes(pairs);
            DeltaE2000Kernel.Between(p[0], p[1], p[2], p[3], p[4], p[5], p[target]);
            for (int k = 0; k < 6; k++)
            {
                Assert.Equal(k == target ? apart : untouched[k], p[k]);
            }
        }
    }

    [Fact]
    public void Between_NaNInOneChannel_IsNaNThereAndNowhereElse()
    {
        (Lab First, Lab Second)[] pairs = AimedColours.LabPairs(67, seed: 10);
        float[][] p = Planes(pairs);
        int[] broken = [0, 7, 20, 33, 50, 66];
        for (int k = 0; k < 6; k++)
        {
            p[k][broken[k]] = float.NaN;
        }

        float[] deltaE = new float[67];
        DeltaE2000Kernel.Between(p[0], p[1], p[2], p[3], p[4], p[5], deltaE);
        for (int i = 0; i < 67; i++)
        {
            Assert.Equal(broken.Contains(i), float.IsNaN(deltaE[i]));
        }
    }

    // Differences beyond any colour must not become NaN: chroma to the seventh power leaves the range of floats.
    [Fact]
    public void Between_EnormousButFiniteColours_IsFinite()
    {
        foreach (double size in new[] { 1e3, 1e5, 1e8 })
        {
            Assert.True(float.IsFinite(Between([(new Lab(50, size, -size), new Lab(60, -size, size / 3))])[0]));
        }
    }

    [Fact]
    public void Between_LengthsThatDiffer_AreRefused()
    {
        float[] three = new float[3], two = new float[2];
        Assert.Throws<ArgumentException>(() => DeltaE2000Kernel.Between(three, two, three, three, three, three, three));
        Assert.Throws<ArgumentException>(() => DeltaE2000Kernel.Between(three, three, three, three, three, two, three));
        Assert.Throws<ArgumentException>(() => DeltaE2000Kernel.Between(three, three, three, three, three, three, two));
    }

    private static Lab AsFloats(Lab lab) => new((float)lab.L, (float)lab.A, (float)lab.B);

    /// <summary>Hues exactly opposed, and a last bit away from it on either side: where the formula jumps.</summary>
    private static IEnumerable<(Lab First, Lab Second)> Opposed(int count)
    {
        Random random = new(11);
        for (int i = 0; i < count; i++)
        {
            float a = (256 * random.NextSingle()) - 128, b = (256 * random.NextSingle()) - 128;
            float factor = random.Next(3) switch { 0 => 1, 1 => 0.5f, _ => 3 };
            float a2 = -a * factor, b2 = -b * factor;
            b2 = (i % 3) switch { 0 => b2, 1 => MathF.BitIncrement(b2), _ => MathF.BitDecrement(b2) };
            if (i % 7 == 0)
            {
                (a, a2) = (0, 0); // along the b axis
            }
            else if (i % 11 == 0)
            {
                (b, b2) = (0, 0); // along the a axis
            }

            yield return (new Lab(100 * random.NextSingle(), a, b), new Lab(100 * random.NextSingle(), a2, b2));
        }
    }

    private static IEnumerable<(Lab First, Lab Second)> Wide(int count)
    {
        Random random = new(12);
        Lab One() => new((170 * random.NextSingle()) - 20, (400 * random.NextSingle()) - 200, (400 * random.NextSingle()) - 200);
        return Enumerable.Range(0, count).Select(_ => (AsFloats(One()), AsFloats(One())));
    }

    private static float[][] Planes((Lab First, Lab Second)[] pairs) =>
    [
        [.. pairs.Select(p => (float)p.First.L)],
        [.. pairs.Select(p => (float)p.First.A)],
        [.. pairs.Select(p => (float)p.First.B)],
        [.. pairs.Select(p => (float)p.Second.L)],
        [.. pairs.Select(p => (float)p.Second.A)],
        [.. pairs.Select(p => (float)p.Second.B)],
    ];

    private static float[] Between((Lab First, Lab Second)[] pairs)
    {
        float[][] p = Planes(pairs);
        float[] deltaE = new float[pairs.Length];
        DeltaE2000Kernel.Between(p[0], p[1], p[2], p[3], p[4], p[5], deltaE);
        return deltaE;
    }
}
