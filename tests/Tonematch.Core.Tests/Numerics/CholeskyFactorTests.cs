using CsCheck;
using MathNet.Numerics.LinearAlgebra;
using Tonematch.Numerics;
using Xunit;

namespace Tonematch.Core.Tests.Numerics;

public class CholeskyFactorTests
{
    private static readonly int s_lanes = System.Numerics.Vector<double>.Count;

    // Any size from 1 to two vectors and more; M M' + I is positive definite whatever M is.
    private static readonly Gen<Matrix<double>> s_matrix = Gen.Int[1, 20].SelectMany(n => Gen.Double[-1, 1].Array[n * n])
        .Select(values =>
        {
            int n = (int)Math.Round(Math.Sqrt(values.Length));
            Matrix<double> m = Matrix<double>.Build.Dense(n, n, values);
            return (m * m.Transpose()) + Matrix<double>.Build.DenseIdentity(n);
        });

    // Solving for each column of the matrix gives the columns of the identity only if the factor times its transpose is
    // the matrix.
    [Fact]
    public void Factor_TimesItsTranspose_IsTheMatrix() => s_matrix.Sample(matrix =>
    {
        int n = matrix.RowCount;
        CholeskyFactor factor = Factored(matrix, 0);
        for (int j = 0; j < n; j++)
        {
            double[] column = matrix.Column(j).ToArray();
            factor.Solve(column);
            Assert.All(column.Select((v, i) => v - (i == j ? 1 : 0)), error => Assert.Equal(0, error, 1e-9));
        }
    });

    [Fact]
    public void InverseDiagonal_IsThatOfTheLibrarysInverse() => Gen.Select(s_matrix, Gen.Double[0, 2]).Sample((matrix, added) =>
    {
        double[] expected = (matrix + (added * Matrix<double>.Build.DenseIdentity(matrix.RowCount))).Inverse().Diagonal().ToArray();
        double[] diagonal = Factored(matrix, added).InverseDiagonal();
        Assert.All(expected.Zip(diagonal), p => Assert.Equal(p.First, p.Second, 1e-9));
    });

    [Theory]
    [InlineData(0)]
    [InlineData(-1)]
    [InlineData(double.NaN)]
    public void Decompose_NotPositiveDefinite_IsRefused(double last) => Assert.False(new CholeskyFactor(2, Stride(2)).Decompose(Lower(Matrix<double>.Build.DenseOfArray(new[,] { { 1.0, 0 }, { 0, last } })), _ => 0));

    private static CholeskyFactor Factored(Matrix<double> matrix, double added)
    {
        CholeskyFactor factor = new(matrix.RowCount, Stride(matrix.RowCount));
        Assert.True(factor.Decompose(Lower(matrix), _ => added));
        return factor;
    }

    // What is above the diagonal must not be read.
    private static double[] Lower(Matrix<double> matrix)
    {
        int n = matrix.RowCount, stride = Stride(n);
        double[] lower = new double[n * stride];
        Array.Fill(lower, double.NaN);
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                lower[(i * stride) + j] = matrix[i, j];
            }
        }

        return lower;
    }

    private static int Stride(int n) => (n + s_lanes - 1) / s_lanes * s_lanes;
}
