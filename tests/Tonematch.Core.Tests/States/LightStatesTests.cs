using System.Collections.Immutable;
using CsCheck;
using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.States;
using Xunit;

namespace Tonematch.Core.Tests.States;

public class LightStatesTests
{
    // Stops of exposure, red against green, blue against green that three lights leave through one correction.
    private static readonly double[][] s_lights = [[0, 0.02, -0.02], [0.05, 0.3, -0.25], [-0.2, -0.15, 0.3]];

    [Fact]
    public void Find_ThreeLightsOfWhichOneReturns_FindsTheirTimesAndGivesItItsNumberBack()
    {
        int[] order = [0, 1, 2, 1];
        ImmutableArray<LightStretch> found = LightStates.Find([.. Instants(order, secondsEach: 60, every: 2, noise: 0.02, seed: 4)]);
        Assert.Equal(order, found.Select(s => s.State));
        Assert.All(found.Skip(1).Select((s, i) => (s.FromSeconds, 60.0 * (i + 1))), t => Assert.Equal(t.Item2, t.FromSeconds, 2.0));
        Assert.All(found.Zip(found.Skip(1)), p => Assert.Equal(p.First.ToSeconds, p.Second.FromSeconds));
    }

    [Fact]
    public void Find_OneLight_IsOneStretchWhateverTheNoise()
    {
        for (int seed = 0; seed < 100; seed++)
        {
            Assert.Single(LightStates.Find([.. Instants([0], secondsEach: 300, every: 1 + (seed % 30), noise: 0.01 + (0.001 * seed), seed)]));
        }
    }

    [Fact]
    public void Find_AnyOrderOfTheInstants_GivesTheSame() => Gen.Int[0, 1000].Sample(
        seed =>
        {
            LightInstant[] instants = [.. Instants([0, 1, 0, 2], 40, 2, 0.02, seed)], mixed = [.. instants];
            new Random(seed).Shuffle(mixed);
            Assert.Equal(LightStates.Find(instants).AsEnumerable(), LightStates.Find(mixed));
        },
        iter: 20);

    // The frames of two cameras may lie on either side of a change: that one instant shows a difference that never was.
    [Fact]
    public void Find_InstantOnTheChangeItself_IsNoStateOfItsOwn() => Gen.Int[0, 1000].Sample(
        seed =>
        {
            LightInstant[] instants = [.. Instants([0, 1, 2], secondsEach: 200, every: 40, noise: 0.01, seed), new(200, -0.27, -0.22, 0.23)];
            ImmutableArray<LightStretch> found = LightStates.Find(instants);
            Assert.Equal([0, 1, 2], found.Select(s => s.State));
            Assert.All(found.Skip(1).Select((s, i) => (s.FromSeconds, 200.0 * (i + 1))), t => Assert.Equal(t.Item2, t.FromSeconds, 40.0));
            Assert.Equal(instants.Length - 1, LightStates.WithoutLonely(instants).Length);
        },
        iter: 20);

    [Fact]
    public void Find_WhatWandersAllTheTime_HasNoStates() => Assert.Single(LightStates.Find(
        [.. Enumerable.Range(0, 600).Select(t => new LightInstant(t, 0.02 * t, 0, 0))]));

    [Fact]
    public void Find_NoInstant_IsTheCallersMistake() => Assert.Throws<ArgumentException>(() => LightStates.Find([]));

    [Fact]
    public void At_TimesInsideAndBeyond_TakesTheNearestStretch()
    {
        ImmutableArray<LightStretch> stretches = [new(10, 20, 0), new(20, 30, 1)];
        Assert.Equal([0, 0, 1, 1], new[] { -5.0, 12, 25, 99 }.Select(t => LightStates.At(stretches, t)));
    }

    // The room's light goes up by 0.6 stop and turns warm: a camera that is locked sees it, one that sets itself does not.
    [Theory]
    [InlineData(1, true)]
    [InlineData(0.1, false)]
    public void BothSaw_LightThatChanges_IsToldFromACameraThatSetsItself(double seenByB, bool expected)
    {
        SignalEncoding e = SignalEncoding.Bt709;
        CodeRgb[] things = [new(0.3, 0.3, 0.3), new(0.5, 0.3, 0.2), new(0.2, 0.3, 0.45), new(0.25, 0.4, 0.3)];
        DriftInstant[] instants = [.. Enumerable.Range(0, 40).Select(t =>
        {
            DriftValue room = t < 20 ? DriftValue.None : new(-0.6, -30, 0), own = DriftValue.Between(DriftValue.None, room, seenByB);
            return new DriftInstant(t, [.. things.Select((c, i) => new DriftSample(i, room.TakeOutOf(c, e), own.TakeOutOf(c, e)))]);
        })];
        Assert.Equal(expected, LightStates.BothSaw([new(0, 19.5, 0), new(19.5, 39, 1)], instants, e, e));
    }

    [Fact]
    public void BothSaw_OneCameraStepsInALightThatHolds_IsTheCamera()
    {
        SignalEncoding e = SignalEncoding.Bt709;
        CodeRgb grey = CodeRgb.Grey(0.4);
        DriftInstant[] instants = [.. Enumerable.Range(0, 40).Select(t => new DriftInstant(t, [new DriftSample(0, grey, new DriftValue(t < 20 ? 0 : -0.5, 0, 0).TakeOutOf(grey, e))]))];
        Assert.False(LightStates.BothSaw([new(0, 19.5, 0), new(19.5, 39, 1)], instants, e, e));
    }

    private static IEnumerable<LightInstant> Instants(int[] lights, double secondsEach, double every, double noise, int seed)
    {
        Random random = new(seed);
        double Noisy(double v) => v + (noise * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble()));
        for (double t = 0; t < lights.Length * secondsEach; t += every)
        {
            double[] light = s_lights[lights[(int)(t / secondsEach)]];
            yield return new LightInstant(t, Noisy(light[0]), Noisy(light[1]), Noisy(light[2]));
        }
    }
}
