using CsCheck;
using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Testing.Simulation;
using Xunit;

namespace Tonematch.Core.Tests.Drift;

public class DriftMeterTests
{
    [Fact]
    public void Measure_HundredClipsThatHoldStill_FindsNoCourseInAnyOfThem()
    {
        for (int seed = 0; seed < 100; seed++)
        {
            DriftMeasurement found = Measured(MadeDrift.Instants(20 + seed, 1, null, seed));
            Assert.True(found.Track is null, $"Clip {seed}: {found.Reason}");
        }
    }

    public static TheoryData<string> Courses => ["waves", "steps", "flash", "slow", "green"];

    [Theory]
    [MemberData(nameof(Courses))]
    public void Measure_ClipThatWanders_FollowsItsCourse(string name)
    {
        for (int seed = 0; seed < 5; seed++)
        {
            Func<double, DriftValue> course = Course(name);
            IReadOnlyList<DriftInstant> instants = MadeDrift.Instants(60, name == "flash" ? 25 : 4, course, seed);
            DriftTrack track = Assert.IsType<DriftTrack>(Measured(instants).Track);
            double[] stops = [.. instants.Select(i => track.At(i.Seconds).Stops - course(i.Seconds).Stops)];
            double[] mired = [.. instants.Select(i => track.At(i.Seconds).Mired - course(i.Seconds).Mired)];
            double[] green = [.. instants.Select(i => track.At(i.Seconds).GreenMagenta - course(i.Seconds).GreenMagenta)];
            Assert.True(Spread(stops) < 0.05, $"{name} {seed}: exposure off by {Spread(stops):0.000} stop");
            Assert.True(Spread(mired) < 4, $"{name} {seed}: white off by {Spread(mired):0.0} mired");
            Assert.True(Spread(green) < 0.05, $"{name} {seed}: green off by {Spread(green):0.000}");
        }
    }

    // As by a camera that pans: each thing is in the picture for six of twenty seconds only.
    [Fact]
    public void Measure_ThingsThatAreSeenForAWhileOnly_FollowsTheWholeCourse()
    {
        for (int seed = 0; seed < 5; seed++)
        {
            Func<double, DriftValue> course = t => new(0.7 * Math.Sin(2 * Math.PI * t / 20), 0, 0);
            IReadOnlyList<DriftInstant> instants =
            [
                .. MadeDrift.Instants(20, 10, course, seed, things: 240).Select(i => i with
                {
                    Samples = [.. i.Samples.Where(s => Math.Abs(i.Seconds - (20.0 * (s.Place % 60) / 60)) < 3)],
                }),
            ];
            DriftTrack track = Assert.IsType<DriftTrack>(Measured(instants).Track);
            double range = instants.Max(i => track.At(i.Seconds).Stops) - instants.Min(i => track.At(i.Seconds).Stops);
            Assert.True(range is > 1.3 and < 1.5, $"{seed}: 1.4 stops were found as {range:0.00}");
        }
    }

    [Fact]
    public void Measure_ClipThatWanders_DoesNotPump()
    {
        // From one instant to the next the course may not tremble more than its own pace and a fiftieth of a stop.
        Func<double, DriftValue> course = Course("waves");
        DriftTrack track = Measured(MadeDrift.Instants(60, 25, course, 3)).Track!;
        for (double t = 1; t < 59; t += 0.04)
        {
            double own = Math.Abs(course(t + 0.04).Stops - course(t).Stops);
            Assert.InRange(Math.Abs(track.At(t + 0.04).Stops - track.At(t).Stops), 0, own + 0.02);
        }
    }

    // Automatic exposure settles elsewhere in each clip, and a correction made on another one does not know it.
    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Level_ClipExposedOtherwise_IsFoundBesideTheCourse(bool wanders)
    {
        DriftValue level = new(0.5, -25, 0.12);
        for (int seed = 0; seed < 5; seed++)
        {
            Func<double, DriftValue> course = t => wanders ? Course("waves")(t) : DriftValue.None;
            IReadOnlyList<DriftInstant> instants = MadeDrift.Instants(60, 4, t => course(t).Plus(level), seed);
            DriftTrack? track = Measured(instants).Track;
            Assert.Equal(wanders, track is not null);
            DriftValue found = DriftMeter.Level(instants, SignalEncoding.Bt709, SignalEncoding.Bt709, MadeDrift.Correct, track);
            DriftTrack raised = (track ?? new DriftTrack([new DriftPoint(0, DriftValue.None)])).Raised(found);
            DriftValue[] off = [.. instants.Select(i => raised.At(i.Seconds)).Zip(instants.Select(i => course(i.Seconds).Plus(level)), (f, t) => new DriftValue(f.Stops - t.Stops, f.Mired - t.Mired, f.GreenMagenta - t.GreenMagenta))];
            Assert.True(off.Average(o => Math.Abs(o.Stops)) < 0.05, $"{seed}: {off.Average(o => Math.Abs(o.Stops)):0.000} stop off");
            Assert.True(off.Average(o => Math.Abs(o.Mired)) < 5, $"{seed}: {off.Average(o => Math.Abs(o.Mired)):0.0} mired off");
            Assert.True(off.Average(o => Math.Abs(o.GreenMagenta)) < 0.05, $"{seed}: {off.Average(o => Math.Abs(o.GreenMagenta)):0.000} green off");
        }
    }

    [Fact]
    public void Level_NothingUsable_IsNone() =>
        Assert.Equal(DriftValue.None, DriftMeter.Level([new DriftInstant(1, [])], SignalEncoding.Bt709, SignalEncoding.Bt709, MadeDrift.Correct, null));

    [Fact]
    public void Measure_FewInstants_SaysHowManyAreNeeded()
    {
        DriftMeasurement found = Measured(MadeDrift.Instants(5, 1, Course("waves"), 1));
        Assert.Null(found.Track);
        Assert.Contains("8 are needed", found.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Measure_TimesThatDoNotRise_AreTheCallersMistake() =>
        Assert.Throws<ArgumentException>(() => Measured([new DriftInstant(1, []), new DriftInstant(1, [])]));

    [Fact]
    public void Value_ToChannelsAndBack_IsTheSame() => Gen.Double[-3, 3].Array[3].Sample(v =>
    {
        (double r, double g, double b) = DriftValue.FromChannelStops(v[0], v[1], v[2]).ToChannelStops();
        Assert.Equal(v[0], r, 1e-9);
        Assert.Equal(v[1], g, 1e-9);
        Assert.Equal(v[2], b, 1e-9);
    });

    [Fact]
    public void Value_FromD65ToD55_IsTheirDifferenceInMired()
    {
        // CIE 15:2004, table of daylight illuminants: D55 has 5503 K, D65 6504 K.
        (double r, double g, double b) = SignalEncoding.Bt709.XyzToRgb.Times(0.95682, 1, 0.92149);
        Assert.Equal((1e6 / 5503) - (1e6 / 6504), DriftValue.FromChannelStops(Math.Log2(r), Math.Log2(g), Math.Log2(b)).Mired, 0.1);
    }

    [Fact]
    public void TakeOutOf_WhatWasPutIn_GivesTheColourBack() => Gen.Double[0.05, 0.8].Array[3].Select(Gen.Double[-0.5, 0.5].Array[3]).Sample((c, d) =>
    {
        DriftValue value = new(d[0], 60 * d[1], d[2]), back = new(-d[0], -60 * d[1], -d[2]);
        CodeRgb code = new(c[0], c[1], c[2]), round = value.TakeOutOf(back.TakeOutOf(code, SignalEncoding.Bt709), SignalEncoding.Bt709);
        Assert.Equal(code.R, round.R, 1e-9);
        Assert.Equal(code.G, round.G, 1e-9);
        Assert.Equal(code.B, round.B, 1e-9);
    });

    [Fact]
    public void At_BetweenAndBeyondPoints_IsStraightAndLevel()
    {
        DriftTrack track = new([new DriftPoint(2, new(1, 10, 0)), new DriftPoint(4, new(0, 20, 0.5))]);
        Assert.Equal(new DriftValue(1, 10, 0), track.At(-5));
        Assert.Equal(new DriftValue(0.5, 15, 0.25), track.At(3));
        Assert.Equal(new DriftValue(0, 20, 0.5), track.At(99));
        Assert.Equal(1, track.RangeStops);
        Assert.Equal(2, track.Worst.Seconds);
    }

    private static Func<double, DriftValue> Course(string name) => name switch
    {
        "waves" => t => new(0.7 * Math.Sin(2 * Math.PI * t / 20), 40 * Math.Sin(2 * Math.PI * t / 31), 0),
        "steps" => t => new(t is > 20 and < 32 ? 0.6 : 0, t > 45 ? 25 : 0, 0),

        // A flash makes the automatic hunt: it swings out and back for two seconds.
        "flash" => t => new(t < 30 ? 0 : -0.9 * Math.Exp(-(t - 30) / 0.8) * Math.Cos(2 * Math.PI * (t - 30) / 1.5), 0, 0),
        "slow" => t => new(0.4 * t / 60, 0, 0),
        "green" => t => new(0, 0, 0.2 * Math.Sin(2 * Math.PI * t / 25)),
        _ => throw new ArgumentOutOfRangeException(nameof(name), name, "No such course."),
    };

    private static DriftMeasurement Measured(IReadOnlyList<DriftInstant> instants) =>
        DriftMeter.Measure(instants, SignalEncoding.Bt709, SignalEncoding.Bt709, MadeDrift.Correct);

    // Standard deviation: a constant is the static correction's.
    private static double Spread(double[] values)
    {
        double mean = values.Average();
        return Math.Sqrt(values.Average(v => (v - mean) * (v - mean)));
    }
}
