using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

/// <summary>
/// A made scene (lights spread over nine stops, some white and some black, some colours) through cameras of several kinds, beside a
/// BT.709 camera that sees a part of the same.
/// </summary>
public class LogLookTests
{
    private const int Side = 64;

    private static readonly SceneRgb[] s_scene = Scene();

    private static readonly (string Name, Func<double, double> Camera, bool IsLog)[] s_cameras =
    [
        ("BT.709", TransferFunctions.Bt709FromScene, false),
        ("ACEScct", TransferFunctions.AcesCctFromLinear, true),
        ("a log curve, black 0.09, white 0.60", l => 0.09 + (0.51 * Math.Log2(1 + (100 * l)) / Math.Log2(101)), true),
        ("a log curve, black 0.12, white 0.70", l => 0.12 + (0.58 * Math.Log2(1 + (200 * l)) / Math.Log2(201)), true),
        ("a haze of 6 % of white", l => TransferFunctions.Bt709FromScene((0.94 * l) + 0.06), false),
        ("a haze of 3 %, a stop under", l => TransferFunctions.Bt709FromScene(0.5 * ((0.97 * l) + 0.03)), false),
        ("fog", l => TransferFunctions.Bt709FromScene(0.6 * ((0.7 * l) + 0.24)), false),
        ("night", l => TransferFunctions.Bt709FromScene(0.02 * l), false),
        ("two stops under", l => TransferFunctions.Bt709FromScene(0.25 * l), false),
        ("a style with lifted black", l => 0.09 + (0.66 * TransferFunctions.Bt709FromScene(l)), false),
    ];

    [Fact]
    public void Is_CamerasBesideAnOrdinaryOne_TellsLogFromHazeNightAndStyles()
    {
        Picture ordinary = Filmed(TransferFunctions.Bt709FromScene, s_scene);
        foreach ((string name, Func<double, double> camera, bool isLog) in s_cameras)
        {
            // A closer view: the inner part of the scene.
            Picture close = Filmed(camera, [.. s_scene.Where((_, i) => i / Side is >= 8 and < 56 && i % Side is >= 8 and < 56)]);
            RecordedTones a = RecordedTones.Of([ordinary]), b = RecordedTones.Of([close]);
            SampleSet pairs = Pairs(camera);
            Assert.True(isLog == LogLook.Is(b, a, LogLook.Bow(pairs, ofSecondary: true)), $"{name}: {b}, bow {LogLook.Bow(pairs, ofSecondary: true)}");

            // The ordinary camera never looks so beside it.
            Assert.False(LogLook.Is(a, b, LogLook.Bow(pairs, ofSecondary: false)), name);
        }
    }

    // By hand: y = x + 4 h x (1 - x) lies h above its chord in the middle; between 0.02 and 0.98, where the tails are cut, 0.96 h of its range.
    [Theory]
    [InlineData(0.1)]
    [InlineData(-0.08)]
    [InlineData(0)]
    public void Bow_OfAParabola_IsItsHeightInTheMiddle(double height)
    {
        SampleSet set = Of(Enumerable.Range(0, 51).Select(i => (CodeRgb.Grey(i / 50.0), CodeRgb.Grey(0.2 + (0.5 * ((i / 50.0) + (4 * height * (i / 50.0) * (1 - (i / 50.0)))))))));
        Assert.Equal(0.96 * height, LogLook.Bow(set, ofSecondary: true), 1e-9);
    }

    [Fact]
    public void Bow_OfTooFewOrTooAlikeColours_IsNotKnownAndNothingIsSaid()
    {
        Assert.True(double.IsNaN(LogLook.Bow(Of(Enumerable.Range(0, 7).Select(i => (CodeRgb.Grey(i / 7.0), CodeRgb.Grey(i / 9.0)))), true)));
        Assert.True(double.IsNaN(LogLook.Bow(Of(Enumerable.Range(0, 40).Select(i => (CodeRgb.Grey(0.4 + (i / 200.0)), CodeRgb.Grey(0.5)))), true)));
        Assert.True(double.IsNaN(LogLook.Bow(Of(Enumerable.Range(0, 40).Select(i => (CodeRgb.Grey(i % 2), CodeRgb.Grey(0.5 + (0.1 * (i % 2)))))), true)));
        Assert.False(LogLook.Is(new RecordedTones(0.1, 0.4, 0.6), new RecordedTones(0, 0.4, 1), double.NaN));
    }

    [Fact]
    public void Of_ARamp_GivesItsEndsAndItsMiddle()
    {
        RecordedTones tones = RecordedTones.Of([Filmed(l => l, [.. Enumerable.Range(0, 1024).Select(i => new SceneRgb(i / 1023.0, i / 1023.0, i / 1023.0))])]);
        Assert.Equal(0.005, tones.Black, 0.02);
        Assert.Equal(0.5, tones.Middle, 0.02);
        Assert.Equal(0.995, tones.White, 0.02);
        Assert.Throws<ArgumentException>(() => RecordedTones.Of([]));
    }

    private static SampleSet Pairs(Func<double, double> camera) => Of(s_scene.Where((_, i) => i % 29 == 0).Select(l => (
        new CodeRgb(TransferFunctions.Bt709FromScene(l.R), TransferFunctions.Bt709FromScene(l.G), TransferFunctions.Bt709FromScene(l.B)),
        new CodeRgb(camera(l.R), camera(l.G), camera(l.B)))));

    private static SampleSet Of(IEnumerable<(CodeRgb A, CodeRgb B)> colours) =>
        new(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Given, [.. colours.Select((c, i) => new SamplePair($"p{i}", $"g{i}", c.A, c.B))]);

    private static Picture Filmed(Func<double, double> camera, SceneRgb[] scene)
    {
        int side = (int)Math.Sqrt(scene.Length);
        float[] Plane(Func<SceneRgb, double> channel) => [.. scene.Take(side * side).Select(l => (float)camera(channel(l)))];
        return new Picture(side, side, Plane(l => l.R), Plane(l => l.G), Plane(l => l.B), SignalEncoding.Bt709);
    }

    // Lightness that is spread like that of photographs (in logarithm), with a fiftieth of black and of white everywhere.
    private static SceneRgb[] Scene()
    {
        Random random = new(5);
        double Colour() => Math.Pow(2, 0.8 * (random.NextDouble() - 0.5));
        return
        [
            .. Enumerable.Range(0, Side * Side).Select(i =>
            {
                double light = i % 50 == 0 ? 0.002 : i % 50 == 25 ? 0.95 : Math.Min(0.95, 0.18 * Math.Pow(2, 5 * (random.NextDouble() + random.NextDouble() - 1)));
                return new SceneRgb(light * Colour(), light, light * Colour());
            }),
        ];
    }
}
