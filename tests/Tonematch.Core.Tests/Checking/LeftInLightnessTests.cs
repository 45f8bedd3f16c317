using CsCheck;
using Tonematch.Checking;
using Xunit;

namespace Tonematch.Core.Tests.Checking;

public class LeftInLightnessTests
{
    private const int Instants = 8, Areas = 12, Each = 6;

    // The share of a made part is known: its variance over that of all.
    [Theory]
    [InlineData(3.0, 0.0)]
    [InlineData(0.0, 3.0)]
    [InlineData(2.0, 1.0)]
    [InlineData(0.0, 0.0)]
    public void MadeParts_AreFoundWithShareAndSize(double ofInstant, double ofArea)
    {
        const double noise = 0.8;
        LeftInLightness found = LeftInLightness.Of(Made(ofInstant, ofArea, noise, seed: 4));
        double all = (ofInstant * ofInstant) + (ofArea * ofArea) + (noise * noise);
        Assert.Equal(ofInstant * ofInstant / all, found.ByInstant!.Share, 0.08);
        Assert.Equal(ofArea * ofArea / all, found.ByArea!.Share, 0.08);
        Assert.Equal(ofInstant, found.ByInstant.Deviation, 0.25);
        Assert.Equal(ofArea, found.ByArea.Deviation, 0.25);
        Assert.Equal((Instants, Areas), (found.ByInstant.Groups, found.ByArea.Groups));
    }

    // Each instant shows half of the areas only, the later ones those on the right: what belongs to areas must not be taken for time.
    [Fact]
    public void InstantsThatShowOtherAreas_AreNotTakenForWandering()
    {
        LeftAt[] seen = [.. Made(0, 3, 0.5, seed: 5).Where(l => Math.Abs(l.Area - (Areas * (l.Instant + 0.5) / Instants)) < Areas / 3.0)];
        LeftInLightness found = LeftInLightness.Of(seen);
        Assert.True(found.ByInstant!.Share < 0.05, $"{found.ByInstant.Share}");
        Assert.True(found.ByArea!.Deviation > 1);
    }

    // One value in twenty is of another thing.
    [Fact]
    public void Mismatches_HardlyChangeTheParts()
    {
        Random random = new(6);
        LeftAt[] made = Made(2, 2, 0.5, seed: 7);
        LeftInLightness clean = LeftInLightness.Of(made);
        LeftInLightness found = LeftInLightness.Of([.. made.Select((l, i) => i % 20 == 0 ? l with { Lightness = 80 * (random.NextDouble() - 0.5) } : l)]);
        Assert.Equal(clean.ByInstant!.Deviation, found.ByInstant!.Deviation, 0.3);
        Assert.Equal(clean.ByArea!.Deviation, found.ByArea!.Deviation, 0.3);
    }

    [Fact]
    public void OneInstantAndOneArea_ExplainNothing()
    {
        LeftInLightness found = LeftInLightness.Of([.. Enumerable.Range(0, 50).Select(i => new LeftAt(i % 7, 0, 0))]);
        Assert.Null(found.ByInstant);
        Assert.Null(found.ByArea);
        Assert.True(found.Deviation > 0);
    }

    [Fact]
    public void NoValues_GiveNothing() => Assert.Equal(new LeftInLightness(0, null, null), LeftInLightness.Of([new LeftAt(double.NaN, 0, 0)]));

    [Fact]
    public void SharesAreSharesAndTogetherNoMoreThanAll_NothingOfThemDependsOnTheMeanTheOrderOrTheNumbering() =>
        Gen.Select(Gen.Double[0, 4], Gen.Double[0, 4], Gen.Double[0.05, 3], Gen.Int[1, 10_000], Gen.Double[-30, 30]).Sample((ofInstant, ofArea, noise, seed, shift) =>
        {
            LeftAt[] made = Made(ofInstant, ofArea, noise, seed);
            LeftInLightness found = LeftInLightness.Of(made);
            Assert.InRange(found.ByInstant!.Share, 0, 1);
            Assert.InRange(found.ByArea!.Share, 0, 1);
            Assert.True(found.ByInstant.Share + found.ByArea.Share <= 1 + 1e-9);
            LeftInLightness moved = LeftInLightness.Of([.. made.Reverse().Select(l => new LeftAt(l.Lightness + shift, 100 - l.Instant, 3 * l.Area))]);
            Assert.Equal(found.ByInstant.Share, moved.ByInstant!.Share, 1e-6);
            Assert.Equal(found.ByArea.Deviation, moved.ByArea!.Deviation, 1e-6);
        }, iter: 60);

    // Effects with the mean 0 and exactly the standard deviation asked for.
    private static LeftAt[] Made(double ofInstant, double ofArea, double noise, int seed)
    {
        Random random = new(seed);
        double[] instants = Effects(Instants, ofInstant, random), areas = Effects(Areas, ofArea, random);
        return [.. Enumerable.Range(0, Instants * Areas * Each).Select(i => new LeftAt(
            instants[i % Instants] + areas[i / Instants % Areas] + (noise * Normal(random)), i % Instants, i / Instants % Areas))];
    }

    private static double[] Effects(int count, double deviation, Random random)
    {
        double[] raw = [.. Enumerable.Range(0, count).Select(_ => Normal(random))];
        double mean = raw.Average(), size = Math.Sqrt(raw.Average(r => (r - mean) * (r - mean)));
        return [.. raw.Select(r => deviation * (r - mean) / size)];
    }

    private static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
