using CsCheck;
using Tonematch.Numerics;
using Xunit;

namespace Tonematch.Core.Tests.Numerics;

public class MedianTests
{
    [Theory]
    [InlineData(0.0, new double[0])]
    [InlineData(3.0, new[] { 3.0 })]
    [InlineData(2.5, new[] { 4.0, 1 })]
    [InlineData(2.0, new[] { 9.0, 1, 2 })]
    [InlineData(2.5, new[] { 9.0, 1, 2, 3 })]
    public void Of_ValuesInAnyOrder_IsTheMiddleOrTheMeanOfTheMiddleTwo(double expected, double[] values) =>
        Assert.Equal(expected, Median.Of(values));

    [Fact]
    public void Of_Values_LeavesThemInTheirOrder() => Gen.Double[-1, 1].Array[0, 20].Sample(values =>
    {
        double[] before = [.. values];
        Median.Of(values);
        Assert.Equal(before, values);
    });

    // For a normal distribution the estimate is its standard deviation. With a third of the values far off it is 1.4826
    // times the distance that three quarters of the rest keep to, 1.15 standard deviations: 1.71 of them.
    [Fact]
    public void Deviation_NormalValuesOfWhichAThirdAreWrong_StaysBelowTwiceTheirDeviation()
    {
        Random random = new(1);
        double[] normal = [.. Enumerable.Range(0, 20_000).Select(_ => 3 * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble()))];
        Assert.Equal(3, Median.Deviation(normal), 0.1);
        Assert.Equal(1.71 * 3, Median.Deviation(normal.Concat(Enumerable.Repeat(1000.0, 10_000))), 0.2);
    }
}
