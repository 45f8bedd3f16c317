using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Fitting;
using Tonematch.Samples;
using Tonematch.Testing;
using Tonematch.Testing.Simulation;
using Xunit;

namespace Tonematch.Core.Tests.Fitting;

/// <summary>A small version of the accuracy bench: measured cameras, lights and reflectances (see docs/accuracy.md).</summary>
public class SimulatedCamerasTests
{
    // The bench's medians are a third below the best peer; a handful of scenarios scatters, so a tenth is asked here.
    private const double BelowThePeers = 0.9;

    // Each family once on either side.
    private static readonly int[] s_pairs = [1, 7, 13, 19, 20];

    [Fact]
    public void Advised_ChartOf24Patches_IsCloserOnOtherThingsThanEveryPublishedPeer()
    {
        SimulatedCameras cameras = Cameras();
        SimulatedPair[] pairs = [.. s_pairs.Select(cameras.Pair)];
        double advised = Mean(pairs, p => Fit(p.Chart));
        foreach ((string name, Func<SampleSet, Func<CodeRgb, CodeRgb>> peer) in Peers.All)
        {
            double theirs = Mean(pairs, p => peer(p.Chart));
            Assert.True(advised < BelowThePeers * theirs, $"{name}: {theirs}, advised {advised}");
        }
    }

    [Fact]
    public void Advised_SixPatches_IsNoWorseThanNothingGainsOrReinhard()
    {
        SimulatedCameras cameras = Cameras();
        SimulatedPair[] pairs = [.. s_pairs.Select(cameras.Pair)];
        SampleSet Six(SimulatedPair p) => p.Patches(18, 23, 1, 14, 13, 12);
        double advised = Mean(pairs, p => Fit(Six(p)));
        foreach ((string name, Func<SampleSet, Func<CodeRgb, CodeRgb>> peer) in Peers.All.Where(p => p.Name is "identity" or "gains LS" or "Reinhard 2001"))
        {
            Assert.True(advised <= Mean(pairs, p => peer(Six(p))), $"{name}, advised {advised}");
        }

        foreach (SimulatedPair p in pairs)
        {
            Assert.True(Mean([p], q => Fit(Six(q))) <= Mean([p], _ => c => c) + 1e-9, p.Name);
        }
    }

    // Noise as a part of the range: 1.5 and 3 codes of 8 bits.
    [Theory]
    [InlineData(0.006)]
    [InlineData(0.012)]
    public void Advised_ManyNoisyPairsWithMismatches_IsAsGoodAsTheCleanChart(double noise)
    {
        SimulatedPair pair = Cameras().Pair(7);
        double noisy = Mean([pair], p => Fit(p.Samples(400, noise, 0.04, 7)));
        Assert.True(noisy <= Mean([pair], p => Fit(p.Chart)), $"{noisy}");
    }

    private static SimulatedCameras Cameras() => SimulatedCameras.Read(SharedData.Require("spectra"), second: true);

    private static Func<CodeRgb, CodeRgb> Fit(SampleSet set) =>
        CorrectionFitting.Fit(set, FitOptions.Default, TestContext.Current.CancellationToken).Advised.Correction.Apply;

    private static double Mean(SimulatedPair[] pairs, Func<SimulatedPair, Func<CodeRgb, CodeRgb>> fit) => pairs.Average(p =>
    {
        Func<CodeRgb, CodeRgb> map = fit(p);
        SignalEncoding e = SignalEncoding.Bt709;
        return Enumerable.Range(0, p.ScoredPrimary.Length).Average(i => DeltaE2000.Between(
            e.ToLab(p.ScoredPrimary[i]), e.ToLab(map(p.ScoredSecondary[i]).Clamped())));
    });
}
