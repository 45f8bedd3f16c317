using Tonematch.Colour;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

public class SampledColoursTests
{
    // CIELAB of BT.709 by the library's own display; half a cell of the grid of 33 nodes is the tolerance.
    [Fact]
    public void Distance_GreysAndARed_IsThatInCielabToTheNearestSample()
    {
        SignalEncoding e = SignalEncoding.Bt709;
        CodeRgb grey = CodeRgb.Grey(0.5), red = new(0.7, 0.2, 0.2), between = new(0.6, 0.35, 0.35);
        SampledColours sampled = SampledColours.Of(new SampleSet(e, e, SamplingMethod.Given, [new("a", "a", grey, grey), new("b", "b", red, red)]));
        double Apart(CodeRgb a, CodeRgb b)
        {
            Lab x = e.ToLab(a), y = e.ToLab(b);
            return Math.Sqrt(((x.L - y.L) * (x.L - y.L)) + ((x.A - y.A) * (x.A - y.A)) + ((x.B - y.B) * (x.B - y.B)));
        }

        Assert.InRange(sampled.Distance(grey), 0, 3);
        Assert.InRange(sampled.Distance(between), Math.Min(Apart(between, grey), Apart(between, red)) - 5, Math.Min(Apart(between, grey), Apart(between, red)) + 5);
        Assert.True(sampled.Has(red));
        Assert.False(sampled.Has(new CodeRgb(0, 0, 1)));
    }
}
