using Tonematch.Colour;
using Tonematch.Formats.Clf;
using Tonematch.Formats.Cube;
using Tonematch.Formats.Inputs;
using Tonematch.Luts.Tables;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Formats.Inputs;

public class InputLutTests
{
    private static readonly Lut1D s_curve = new(
        64, [.. Enumerable.Range(0, 64 * 3).Select(i => (float)Math.Pow(i / 3 / 63.0, 1.4 + (0.1 * (i % 3))))], CodeRgb.Grey(-0.1), CodeRgb.Grey(1.2));

    private static readonly Lut3D s_table = Lut3D.FromFunction(9, c => new CodeRgb((0.8 * c.R) + (0.1 * c.G), c.G * c.G, 1.1 * c.B));

    private static readonly (string Name, InputLut Input)[] s_inputs =
    [
        ("3D", new InputLut("a.cube", new CubeFile(null, null, s_table))),
        ("1D", new InputLut("b.cube", new CubeFile(null, s_curve, null))),
        ("1D and 3D", new InputLut("c.cube", new CubeFile(null, s_curve, s_table))),
        ("CLF", new InputLut("d.clf", new ClfFile([new ClfMatrix(Matrix3.Diagonal(0.9, 1, 1.1)), new ClfLut3D(s_table)]))),
    ];

    // More pixels than one thread takes at a time, and not a whole number of eights.
    [Fact]
    public void Apply_ToAPicture_IsWhatItIsToEveryColour()
    {
        CodeRgb[] some = LutOracles.Colours(9);
        CodeRgb[] colours = [.. Enumerable.Range(0, 40_003).Select(i => some[i % some.Length] with { R = some[i % some.Length].R - (0.05 * (i % 3)) })];
        foreach ((string name, InputLut input) in s_inputs)
        {
            float[] r = [.. colours.Select(c => (float)c.R)], g = [.. colours.Select(c => (float)c.G)], b = [.. colours.Select(c => (float)c.B)];
            input.Apply(r, g, b);
            for (int i = 0; i < colours.Length; i++)
            {
                CodeRgb one = input.Apply(new CodeRgb((float)colours[i].R, (float)colours[i].G, (float)colours[i].B));
                double off = Math.Max(Math.Abs(one.R - r[i]), Math.Max(Math.Abs(one.G - g[i]), Math.Abs(one.B - b[i])));
                Assert.True(off < LutOracles.FloatRounding, $"{name}, {colours[i]}: off by {off}");
            }
        }
    }

    [Fact]
    public void Steps_AsAProcessList_AreTheSameColours()
    {
        foreach ((string name, InputLut input) in s_inputs)
        {
            ClfFile list = new(input.Steps);
            foreach (CodeRgb code in LutOracles.Colours(9))
            {
                CodeRgb a = input.Apply(code), b = list.Apply(code);
                Assert.True(Math.Abs(a.R - b.R) + Math.Abs(a.G - b.G) + Math.Abs(a.B - b.B) < 1e-6, $"{name}, {code}: {a} or {b}");
            }
        }
    }

    [Fact]
    public void Apply_PlanesOfTwoLengths_IsRefused() =>
        Assert.Throws<ArgumentException>(() => s_inputs[0].Input.Apply(new float[2], new float[2], new float[3]));
}
