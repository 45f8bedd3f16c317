using CsCheck;
using Tonematch.Colour;

namespace Tonematch.Core.Tests.Colour;

/// <summary>
/// Colours aimed at where formulas break: black, white and above, near grey, hues that oppose each other, the blues at
/// 275 degrees where CIEDE2000 turns its axes, the knees of the curves. Uniform input misses all of them.
/// </summary>
internal static class AimedColours
{
    /// <summary>The knees and ends of the published curves, in code.</summary>
    private static readonly double[] s_knees = [0, 1, 0.0812428582986315, 0.081, 0.04045, 0.5, 7.3e-7, 1e-9, 0.9999999];

    /// <summary>One code value: ordinary, above white, negative, or at a knee.</summary>
    public static readonly Gen<double> Code = Gen.Frequency(
        (4, Gen.Double[0, 1]),
        (1, Gen.Double[1, 1.4]),
        (1, Gen.Double[-0.4, 0]),
        (2, Gen.Select(Gen.OneOf(s_knees), Gen.Double[-1e-6, 1e-6], (knee, off) => knee + off)),
        (1, Gen.OneOf(s_knees)));

    /// <summary>Three code values, some of them equal (grey).</summary>
    public static readonly Gen<CodeRgb> CodeRgb = Gen.Frequency(
        (3, Gen.Select(Code, Code, Code, (r, g, b) => new CodeRgb(r, g, b))),
        (1, Code.Select(Tonematch.Colour.CodeRgb.Grey)));

    /// <summary>Two CIELAB colours.</summary>
    public static readonly Gen<(Lab First, Lab Second)> LabPair = Gen.Int[0, int.MaxValue].Select(seed => Pair(new Random(seed)));

    /// <summary>Many pairs of CIELAB colours, the same for the same seed; hues that oppose each other to the last bit are left out.</summary>
    public static (Lab First, Lab Second)[] LabPairs(int count, int seed)
    {
        Random random = new(seed);
        return [.. Enumerable.Range(0, count).Select(_ => Pair(random))];
    }

    private static (Lab First, Lab Second) Pair(Random random)
    {
        double Within(double low, double high) => low + ((high - low) * random.NextDouble());
        Lab Any() => new(Within(0, 100), Within(-128, 128), Within(-128, 128));
        Lab Near(Lab lab, double by) => new(lab.L + Within(-by, by), lab.A + Within(-by, by), lab.B + Within(-by, by));
        Lab Turned(double l, double chroma, double hue) => new Lch(l, chroma, hue).ToLab();
        double SmallTurn() => (random.Next(2) * 2 - 1) * Math.Pow(10, Within(-3, 0.5));

        switch (random.Next(8))
        {
            case 0:
                return (Any(), Any());
            case 1:
                Lab one = Any();
                return (one, Near(one, Math.Pow(10, Within(-4, 0.7))));
            case 2:
                Lab grey = new(Within(0, 100), 0, 0);
                return (Near(grey, Math.Pow(10, Within(-4, 0))), Near(grey, Math.Pow(10, Within(-4, 0))));
            case 3:
                return (new Lab(Within(0, 100), 0, 0), Any());
            case 4:
                double hue = Within(0, 360);
                return (Turned(Within(0, 100), Within(0.1, 130), hue), Turned(Within(0, 100), Within(0.1, 130), hue + 180 + SmallTurn()));
            case 5:
                return (Turned(Within(10, 60), Within(0, 130), Within(255, 295)), Turned(Within(10, 60), Within(0, 130), Within(255, 295)));
            case 6:
                return (Near(new Lab(random.Next(2) * 100, 0, 0), 2), Near(new Lab(random.Next(2) * 110, 0, 0), 2));
            default:
                Lab both = Any();
                return (both, both);
        }
    }
}
