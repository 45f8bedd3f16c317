using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Samples;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Fitting;

/// <summary>What belongs to a place is told from what belongs to colour, and places are left out whole to see what that means elsewhere.</summary>
public class LocalitiesTests
{
    private static readonly SignalEncoding s_bt709 = SignalEncoding.Bt709;

    private static readonly FitOptions s_options = new() { Kinds = [CorrectionKind.Gains, CorrectionKind.Matrix] };

    private static readonly GainsCorrection s_truth = new(s_bt709, s_bt709, 1.1, 0.9, 0.8);

    [Fact]
    public void Fit_OnePlaceIsDarker_SaysByHowMuchAndCorrectsTheMeanOfThePlaces()
    {
        FitResult fit = Fit(("the upper left", 1), ("the lower left", 1), ("the lower right", 0.8));
        Assert.Equal(["the lower left", "the lower right", "the upper left"], fit.Places.Select(p => p.Name).Order());
        Assert.Equal(-Math.Log2(0.8) * 2 / 3, fit.Places.Single(p => p.Name == "the lower right").Stops, 0.03);
        Assert.Equal(Math.Log2(0.8) / 3, fit.Places.Single(p => p.Name == "the upper left").Stops, 0.03);
        GainsCorrection gains = Assert.IsType<GainsCorrection>(fit.Candidates.Single(c => c.Correction.Kind == CorrectionKind.Gains).Correction);
        Assert.Equal(1.1 / Math.Pow(0.8, 1.0 / 3), gains.R, 0.03);
        Assert.Contains(fit.Warnings, w => w.Contains("the lower right 0.2 stop darker", StringComparison.Ordinal));
    }

    [Fact]
    public void Fit_OnePlaceIsDarker_UnseenPlacesAreWorseThanUnseenColours()
    {
        FitResult fit = Fit(("the upper left", 1), ("the lower left", 1), ("the lower right", 0.8));
        FittedPlace darker = fit.Places.Single(p => p.Name == "the lower right"), other = fit.Places.Single(p => p.Name == "the upper left");
        Assert.True(darker.Unseen!.Mean > 3, $"{darker.Unseen.Mean}");
        Assert.True(darker.Unseen.Mean > 1.5 * other.Unseen!.Mean, $"{darker.Unseen.Mean}, {other.Unseen.Mean}");
        Assert.Equal(fit.Places.Average(p => p.Unseen!.Mean), fit.Advised.UnseenPlaces!.Mean, 1e-9);
        Assert.True(fit.Advised.UnseenPlaces.Mean > fit.Advised.CrossValidated!.Mean);
    }

    [Fact]
    public void Fit_PlacesThatAreAlike_AreNamedAndNothingIsSaidOfThem()
    {
        FitResult fit = Fit(("the upper left", 1), ("the lower left", 1));
        Assert.All(fit.Places, p => Assert.Equal((0, 0), (p.Stops, p.Veil)));
        Assert.True(fit.Advised.UnseenPlaces!.Mean < 1e-3);
        Assert.Empty(fit.Warnings);
    }

    [Fact]
    public void Fit_ADarkerChartInAScene_HasNoPartInTheLevel()
    {
        FitResult fit = Fit((SampleLocality.Chart, 0.8), ("the lower left", 1));
        GainsCorrection gains = Assert.IsType<GainsCorrection>(fit.Candidates.Single(c => c.Correction.Kind == CorrectionKind.Gains).Correction);
        Assert.Equal(1.1, gains.R, 0.02);
    }

    [Fact]
    public void Fit_OnePlaceOnly_KnowsNothingOfUnseenPlaces()
    {
        FitResult fit = Fit((SampleLocality.Chart, 1));
        Assert.Empty(fit.Places);
        Assert.Null(fit.Advised.UnseenPlaces);
    }

    [Fact]
    public void Fit_WholePictures_TriesNoKindRicherThanAMatrix()
    {
        SampleSet set = MadeColours.PairsOf(s_truth, MadeColours.Spread(30)) with { Method = SamplingMethod.Overall };
        FitResult fit = CorrectionFitting.Fit(set, FitOptions.Default, TestContext.Current.CancellationToken);
        Assert.DoesNotContain(fit.Candidates, c => c.Correction.Kind > CorrectionKind.Matrix);
        Assert.All(fit.NotFitted, n => Assert.StartsWith("The pictures were compared as a whole", n.Why, StringComparison.Ordinal));
        Assert.Equal(3, fit.NotFitted.Length);
    }

    // Each place has forty colours; there the secondary has so many times the light.
    private static FitResult Fit(params (string Locality, double Light)[] places)
    {
        ImmutableArray<SamplePair> pairs =
        [
            .. places.SelectMany((place, k) => MadeColours.PairsOf(s_truth, MadeColours.Spread(40, seed: k + 1)).Pairs.Select(p => p with
            {
                Id = $"{p.Id}-{k}",
                Group = $"{p.Group}-{k}",
                Locality = place.Locality,
                Secondary = Dimmed(p.Secondary, place.Light),
            })),
        ];
        return CorrectionFitting.Fit(new SampleSet(s_bt709, s_bt709, SamplingMethod.Overlap, pairs), s_options, TestContext.Current.CancellationToken);
    }

    private static CodeRgb Dimmed(CodeRgb code, double factor)
    {
        SceneRgb light = s_bt709.ToScene(code);
        return s_bt709.FromScene(new SceneRgb(factor * light.R, factor * light.G, factor * light.B));
    }
}
