using CsCheck;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Luts.Tables;
using Xunit;

namespace Tonematch.Core.Tests.Luts.Tables;

public class LutBakerTests
{
    private static readonly GainsCorrection s_gains = new(SignalEncoding.Bt709, SignalEncoding.Bt709, 1.3, 1, 0.8);

    private static readonly int[] s_sizes = [9, 17, 33, 65];

    [Theory]
    [InlineData(17)]
    [InlineData(33)]
    [InlineData(65)]
    public void Bake_AtNodes_HoldsTheCorrectionToFloat(int size)
    {
        Lut3D lut = LutBaker.Bake(s_gains, size);
        Assert.Equal(size, lut.Size);
        foreach ((int i, int j, int k) in new[] { (0, 0, 0), (size - 1, 0, 3), (1, 2, 3), (size - 1, size - 1, size - 1) })
        {
            CodeRgb exact = s_gains.Apply(lut.InputOf(i, j, k)), node = lut.Node(i, j, k);
            Assert.Equal((float)exact.R, (float)node.R);
            Assert.Equal((float)exact.G, (float)node.G);
            Assert.Equal((float)exact.B, (float)node.B);
        }
    }

    [Fact]
    public void Bake_CorrectionThatLeavesTheRange_IsNotLimited()
    {
        CodeRgb white = LutBaker.Bake(s_gains, 17).Node(16, 16, 16);
        Assert.True(white.R > 1.1);
    }

    [Fact]
    public void LimitToUnitRange_CountsTheNodesItChanges()
    {
        float[] nodes = Lut3D.Identity(2).Nodes.ToArray();
        nodes[0] = -0.25f;
        nodes[1] = -0.1f;
        nodes[^1] = 1.125f;
        LimitedLut limited = LutBaker.LimitToUnitRange(new Lut3D(2, nodes));
        Assert.Equal((2, 0.25), (limited.LimitedNodes, limited.LargestExcess));
        Assert.False(limited.Lut.Nodes.ContainsAnyExceptInRange(0f, 1f));
        Assert.Equal((0, 0.0), LutBaker.LimitToUnitRange(limited.Lut) is var again ? (again.LimitedNodes, again.LargestExcess) : default);
    }

    [Fact]
    public void BakingError_MoreNodes_IsSmaller()
    {
        double[] mean = [.. s_sizes.Select(n => LutBaker.BakingError(s_gains, LutBaker.Bake(s_gains, n)).DeltaE.Mean)];
        Assert.Equal(mean.OrderDescending(), mean);
        // Linear interpolation: the error falls with the square of the cell, away from the toe of the curve.
        Assert.True(mean[0] / mean[2] > 6, $"{mean[0]} {mean[2]}");
    }

    [Fact]
    public void BakingError_AffineCorrection_IsFloatRounding()
    {
        FunctionCorrection affine = new(c => new CodeRgb(0.9 * c.R, (0.05 * c.R) + (0.9 * c.G), 0.02 + (0.95 * c.B)));
        LutDifference error = LutBaker.BakingError(affine, LutBaker.Bake(affine, 33));
        Assert.True(error.MaxCode < 1e-7, $"{error.MaxCode}");
    }

    // The figure is a maximum over aimed colours: no other colour may be much worse.
    [Fact]
    public void BakingError_Max_BoundsTheErrorOfAnyColour()
    {
        Lut3D lut = LutBaker.Bake(s_gains, 33);
        double stated = LutBaker.BakingError(s_gains, lut).DeltaE.Max;
        SignalEncoding encoding = s_gains.PrimaryEncoding;
        MadeTables.Colour(33).Sample(
            c =>
            {
                CodeRgb inside = c.Clamped();
                double e = DeltaE2000.Between(
                    encoding.ToLab(s_gains.Apply(inside).Clamped()), encoding.ToLab(LutInterpolation.Tetrahedral(lut, inside).Clamped()));
                Assert.True(e <= (1.1 * stated) + 1e-3, $"{e} at {inside}, stated {stated}");
            },
            iter: 20000);
    }

    // What docs/formats.md says of 33 nodes.
    [Fact]
    public void BakingError_UsualCorrectionsAt33Nodes_IsBelowATenthOnAverage()
    {
        SignalEncoding bt709 = SignalEncoding.Bt709, hlg = SignalEncoding.Hlg;
        Correction[] usual =
        [
            new GainsCorrection(bt709, bt709, 1.4, 1.1, 0.75),
            new GainsCorrection(SignalEncoding.Srgb, bt709, 0.7, 0.7, 0.8),
            new GainsCorrection(hlg, hlg, 1.3, 1, 0.8),
            new MatrixCorrection(bt709, bt709, new Matrix3(1.2, -0.15, -0.05, -0.1, 1.2, -0.1, 0.02, -0.22, 1.2)),
            new LiftGammaGainCorrection(bt709, bt709, new(0.02, -0.01, 0), new(1.15, 1.1, 0.9), new(1.05, 0.95, 1)),
            new CdlCorrection(bt709, bt709, new(1.1, 0.95, 1.05), new(0.01, -0.02, 0.02), new(1.1, 1.15, 0.9), 0.85),
        ];
        Assert.All(usual, c => Assert.InRange(LutBaker.BakingError(c, LutBaker.Bake(c, 33)).DeltaE.Mean, 0, 0.1));
    }
}
