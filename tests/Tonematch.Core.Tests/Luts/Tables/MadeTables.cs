using CsCheck;
using Tonematch.Colour;
using Tonematch.Luts.Tables;

namespace Tonematch.Core.Tests.Luts.Tables;

/// <summary>Tables and colours for tests: aimed at the places where table code goes wrong.</summary>
internal static class MadeTables
{
    /// <summary>A table of values without any structure, in -0.2..1.2: every wrong corner or weight shows.</summary>
    public static Lut3D Random(int size, int seed, double low = -0.2, double high = 1.2)
    {
        Random random = new(seed);
        float[] nodes = new float[3 * size * size * size];
        for (int i = 0; i < nodes.Length; i++)
        {
            nodes[i] = (float)(low + ((high - low) * random.NextDouble()));
        }

        return new Lut3D(size, nodes);
    }

    /// <summary>One channel's code value: nodes, cell middles, 0, 1, just outside, far outside, anything between.</summary>
    public static Gen<double> Channel(int size) => Gen.OneOf(
        Gen.Double[0, 1],
        Gen.Int[0, size - 1].Select(i => i / (double)(size - 1)),
        Gen.Int[0, size - 2].Select(i => (i + 0.5) / (size - 1)),
        Gen.OneOf(0.0, 1, 0.5, -1e-9, 1 + 1e-9, -0.1, 1.2, 1e-30, -0.0));

    /// <summary>Colours with equal channels (faces of tetrahedra) and greys among them.</summary>
    public static Gen<CodeRgb> Colour(int size) => Gen.Select(Channel(size), Channel(size), Channel(size), Gen.Int[0, 9],
        (r, g, b, tie) => tie switch { 0 => new CodeRgb(r, r, b), 1 => new CodeRgb(r, g, g), 2 => new CodeRgb(r, g, r), 3 => CodeRgb.Grey(r), _ => new CodeRgb(r, g, b) });
}
