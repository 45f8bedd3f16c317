using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Vision.Tests.Overlap;

/// <summary>Photographs as one camera sees them, beside a closer view of the same through another.</summary>
public class LogLookOfPhotographsTests
{
    private static readonly string[] s_shared =
    [
        "chart-daylight-carpet.jpg", "chart-half-hidden.png", "chart-in-hand.jpg", "chart-office-glare.jpg", "chart-other-maker.jpg",
        "chart-rotated-small.png", "church-day.jpg", "church-night.jpg", "fence-left.png", "fence-right.png",
    ];

    [Fact]
    public void Is_PhotographsAsTheyAre_HazyOrDark_SaysNothing_ThroughALogCurveMostlyYes()
    {
        (string Name, Func<double, double> Camera)[] plain =
        [
            ("as it is", TransferFunctions.SrgbFromLinear),
            ("a stop under", l => TransferFunctions.SrgbFromLinear(0.5 * l)),
            ("a haze of 6 %", l => TransferFunctions.SrgbFromLinear((0.94 * l) + 0.06)),
            ("a haze of 3 %, a stop under", l => TransferFunctions.SrgbFromLinear(0.5 * ((0.97 * l) + 0.03))),
            ("fog, a stop under", l => TransferFunctions.SrgbFromLinear(0.5 * ((0.9 * l) + 0.08))),
        ];
        (string Name, Func<double, double> Camera)[] log =
        [
            ("ACEScct", TransferFunctions.AcesCctFromLinear),
            ("a log curve", l => 0.09 + (0.51 * Math.Log2(1 + (100 * l)) / Math.Log2(101))),
        ];
        Picture[] photographs = [.. s_shared.Select(name => PictureScale.ToSmall(TestPictures.Shared(name), 640))];
        foreach ((string name, Func<double, double> camera) in plain)
        {
            string[] said = [.. photographs.Select((p, i) => (Name: s_shared[i], Says: Says(p, camera))).Where(s => s.Says).Select(s => s.Name)];
            Assert.True(said.Length == 0, $"{name}: {string.Join(", ", said)}");
        }

        foreach ((string name, Func<double, double> camera) in log)
        {
            int said = photographs.Count(p => Says(p, camera));
            Assert.True(said >= 8, $"{name}: {said} of {photographs.Length}");
        }
    }

    // Two photographs of one place by day and by night, and two views of one fence.
    [Theory]
    [InlineData("church-day.jpg", "church-night.jpg")]
    [InlineData("fence-left.png", "fence-right.png")]
    public void Is_TwoPhotographs_SaysNothingOfEither(string first, string second)
    {
        RecordedTones a = RecordedTones.Of([TestPictures.Shared(first)]), b = RecordedTones.Of([TestPictures.Shared(second)]);
        Assert.False(LogLook.Is(a, b, 0.2));
        Assert.False(LogLook.Is(b, a, 0.2));
    }

    private static bool Says(Picture photograph, Func<double, double> camera)
    {
        int w = photograph.Width, h = photograph.Height, x0 = (int)(0.15 * w), y0 = (int)(0.15 * h), cw = w - (2 * x0), ch = h - (2 * y0);
        float[] r = new float[cw * ch], g = new float[cw * ch], b = new float[cw * ch];
        List<SamplePair> pairs = [];
        float Through(double code) => (float)Math.Clamp(camera(TransferFunctions.SrgbToLinear(code)), 0, 1);
        for (int i = 0; i < r.Length; i++)
        {
            CodeRgb recorded = photograph[x0 + (i % cw), y0 + (i / cw)];
            (r[i], g[i], b[i]) = (Through(recorded.R), Through(recorded.G), Through(recorded.B));
            if (i % 397 == 0)
            {
                pairs.Add(new SamplePair($"{i}", $"{i}", recorded, new CodeRgb(r[i], g[i], b[i])));
            }
        }

        Picture close = new(cw, ch, r, g, b, SignalEncoding.Srgb);
        SampleSet set = new(SignalEncoding.Srgb, SignalEncoding.Srgb, SamplingMethod.Overlap, [.. pairs]);
        return LogLook.Is(RecordedTones.Of([close]), RecordedTones.Of([photograph]), LogLook.Bow(set, ofSecondary: true));
    }
}
