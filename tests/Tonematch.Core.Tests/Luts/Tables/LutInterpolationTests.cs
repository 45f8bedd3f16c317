using CsCheck;
using Tonematch.Colour;
using Tonematch.Luts.Tables;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Luts.Tables;

public class LutInterpolationTests
{
    // Nodes are floats: half a unit in the last place of 1.
    private const double NodeRounding = 6e-8;

    [Theory]
    [InlineData(LutMethod.Tetrahedral)]
    [InlineData(LutMethod.Trilinear)]
    public void Apply_IdentityTableOfAnySize_ChangesNothingInside(LutMethod method) =>
        Gen.Int[2, 40].SelectMany(size => MadeTables.Colour(size).Select(c => (size, c))).Sample(x =>
        {
            CodeRgb expected = x.c.Clamped();
            Near(expected, LutInterpolation.Apply(Lut3D.Identity(x.size), x.c, method), NodeRounding);
        }, iter: 300);

    [Theory]
    [InlineData(LutMethod.Tetrahedral)]
    [InlineData(LutMethod.Trilinear)]
    public void Apply_AtANode_GivesTheNode(LutMethod method)
    {
        Lut3D lut = MadeTables.Random(5, 1);
        for (int k = 0; k < 5; k++)
        {
            for (int j = 0; j < 5; j++)
            {
                for (int i = 0; i < 5; i++)
                {
                    Near(lut.Node(i, j, k), LutInterpolation.Apply(lut, lut.InputOf(i, j, k), method), 1e-14);
                }
            }
        }
    }

    [Theory]
    [InlineData(LutMethod.Tetrahedral)]
    [InlineData(LutMethod.Trilinear)]
    public void Apply_AffineFunction_IsExactEverywhere(LutMethod method)
    {
        static CodeRgb Affine(CodeRgb c) => new(
            0.1 + (0.7 * c.R) - (0.2 * c.G) + (0.1 * c.B), (0.9 * c.G) + (0.05 * c.B), 1.2 - (0.3 * c.R) - (0.6 * c.B));
        Lut3D lut = Lut3D.FromFunction(9, Affine);
        MadeTables.Colour(9).Sample(c => Near(Affine(c.Clamped()), LutInterpolation.Apply(lut, c, method), 2e-7));
    }

    [Fact]
    public void Tetrahedral_OnAllSixTetrahedra_WeighsTheFourCornersOfItsOwn()
    {
        // Worked by hand from the definition: walk from corner 000 along the largest fraction first.
        Lut3D lut = MadeTables.Random(2, 7);
        double[] f = [0.7, 0.4, 0.1];
        int[][] orders = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
        foreach (int[] order in orders)
        {
            double[] place = new double[3];
            int[] corner = new int[3];
            CodeRgb sum = Times(lut.Node(0, 0, 0), 1 - 0.7);
            double[] weights = [0.7 - 0.4, 0.4 - 0.1, 0.1];
            for (int s = 0; s < 3; s++)
            {
                place[order[s]] = f[s];
                corner[order[s]] = 1;
                CodeRgb part = Times(lut.Node(corner[0], corner[1], corner[2]), weights[s]);
                sum = new CodeRgb(sum.R + part.R, sum.G + part.G, sum.B + part.B);
            }

            Near(sum, LutInterpolation.Tetrahedral(lut, new CodeRgb(place[0], place[1], place[2])), 1e-14);
        }

        static CodeRgb Times(CodeRgb c, double k) => new(k * c.R, k * c.G, k * c.B);
    }

    [Theory]
    [InlineData(LutMethod.Tetrahedral)]
    [InlineData(LutMethod.Trilinear)]
    public void Apply_NotANumberOrInfinite_IsTakenAtTheDomainsEdge(LutMethod method)
    {
        Lut3D lut = MadeTables.Random(4, 3);
        Near(lut.Node(0, 3, 0), LutInterpolation.Apply(lut, new CodeRgb(double.NaN, double.PositiveInfinity, double.NegativeInfinity), method), 1e-14);
        Near(lut.Node(3, 0, 3), LutInterpolation.Apply(lut, new CodeRgb(7, -7, 1e300), method), 1e-14);
    }

    [Fact]
    public void Apply_DomainThatIsNot0To1_PutsTheFirstAndLastNodeAtItsEnds()
    {
        Lut3D unit = MadeTables.Random(6, 5);
        Lut3D wide = new(6, unit.Nodes.ToArray(), new CodeRgb(-0.5, 0.2, -2), new CodeRgb(1.5, 0.7, 3));
        MadeTables.Colour(6).Sample(c => Near(
            LutInterpolation.Tetrahedral(unit, c),
            LutInterpolation.Tetrahedral(wide, new CodeRgb(-0.5 + (2 * c.R), 0.2 + (0.5 * c.G), -2 + (5 * c.B))), 1e-12));
    }

    [Fact]
    public void Linear_BetweenEntries_IsAStraightLineAndConstantOutside()
    {
        Lut1D lut = new(3, [0, 1, 10, 0.5f, 2, 20, 1, 4, 40], CodeRgb.Grey(0), new CodeRgb(1, 2, 4));
        Near(new CodeRgb(0.25, 1.5, 12.5), LutInterpolation.Linear(lut, new CodeRgb(0.25, 0.5, 0.5)), 1e-14);
        Near(new CodeRgb(0, 4, 10), LutInterpolation.Linear(lut, new CodeRgb(-1, 5, double.NaN)), 1e-14);
    }

    // Source: FFmpeg's lut3d on float planes, an independent implementation of both methods.
    [Theory]
    [InlineData(LutMethod.Tetrahedral, 17)]
    [InlineData(LutMethod.Trilinear, 17)]
    [InlineData(LutMethod.Tetrahedral, 33)]
    [InlineData(LutMethod.Trilinear, 33)]
    public void Apply_OnAimedColours_EqualsFfmpeg(LutMethod method, int size)
    {
        Lut3D lut = MadeTables.Random(size, size);
        CodeRgb[] colours = LutOracles.Colours(size);
        AgreeWithin(LutOracles.FloatRounding, lut, colours, LutOracles.Ffmpeg(lut, colours, method), method);
    }

    // Source: OpenColorIO's CPU path (Debian python3-pyopencolorio), reading the same .cube file.
    [Theory]
    [InlineData(LutMethod.Tetrahedral, 17)]
    [InlineData(LutMethod.Trilinear, 17)]
    [InlineData(LutMethod.Tetrahedral, 33)]
    [InlineData(LutMethod.Trilinear, 33)]
    public void Apply_OnAimedColours_EqualsOpenColorIO(LutMethod method, int size)
    {
        Lut3D lut = MadeTables.Random(size, size);
        CodeRgb[] colours = LutOracles.Colours(size);
        AgreeWithin(LutOracles.FloatRounding, lut, colours, LutOracles.OpenColorIO(LutOracles.CubeText(lut), "l.cube", colours, method), method);
    }

    private static void AgreeWithin(double tolerance, Lut3D lut, CodeRgb[] colours, CodeRgb[] theirs, LutMethod method)
    {
        for (int i = 0; i < colours.Length; i++)
        {
            Near(theirs[i], LutInterpolation.Apply(lut, colours[i], method), tolerance);
        }
    }

    private static void Near(CodeRgb expected, CodeRgb actual, double tolerance)
    {
        Assert.Equal(expected.R, actual.R, tolerance);
        Assert.Equal(expected.G, actual.G, tolerance);
        Assert.Equal(expected.B, actual.B, tolerance);
    }
}
