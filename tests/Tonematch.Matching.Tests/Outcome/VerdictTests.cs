using CsCheck;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Words;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Matching.Tests.Outcome;

public class VerdictTests
{
    private static readonly VerdictEvidence s_good = new()
    {
        Method = SamplingMethod.Overlap,
        Groups = 60,
        Before = All(8),
        Fitted = All(0.9),
        UnseenColours = All(1.2),
        CoveredShare = 0.9,
        SyncConfidence = 0.99,
    };

    [Fact]
    public void NothingAgainstIt_IsUsed_WithTheFigureOnUnseenColours()
    {
        Verdict verdict = Verdict.Of(s_good);
        Assert.Equal((VerdictKind.Use, 1.2, VerdictFigure.UnseenColours), (verdict.Kind, verdict.Figure.Mean, verdict.FigureOf));
        Assert.Empty(verdict.Reasons);
        Assert.Equal("Use it: Delta E 1.2 on colours it was not fitted to, hard to see side by side.", VerdictWords.Headline(verdict));
    }

    [Fact]
    public void NothingInCommon_IsNotUsed_HoweverSmallTheFigure() =>
        Is(VerdictKind.DoNotUse, VerdictCause.NothingInCommon, s_good with { Method = SamplingMethod.Overall });

    [Fact]
    public void WholePicturesAsAsked_AreLookedAtFirst() =>
        Is(VerdictKind.LookFirst, VerdictCause.WholePicture, s_good with { Method = SamplingMethod.Overall, AskedForWhole = true });

    [Theory]
    [InlineData(5.0, 5.0, VerdictKind.DoNotUse)]
    [InlineData(5.0, 4.9, VerdictKind.LookFirst)]
    [InlineData(0.9, 0.95, VerdictKind.Use)]
    public void UnseenColours_NoBetterThanAsRecorded_AreNotUsedUnlessNobodySeesIt(double before, double unseen, VerdictKind kind) =>
        Assert.Equal(kind, Verdict.Of(s_good with { Before = All(before), UnseenColours = All(unseen) }).Kind);

    [Theory]
    [InlineData(1.99, VerdictKind.LookFirst)]
    [InlineData(2.0, VerdictKind.DoNotUse)]
    public void DayAndNight_AreNotUsedWhereTheFigureShowsIt(double unseen, VerdictKind kind) =>
        Is(kind, VerdictCause.OtherLight, s_good with { ShowsOtherLight = true, UnseenColours = All(unseen) });

    [Theory]
    [InlineData(1.99, VerdictKind.Use)]
    [InlineData(2.0, VerdictKind.LookFirst)]
    [InlineData(7.99, VerdictKind.LookFirst)]
    [InlineData(8.0, VerdictKind.DoNotUse)]
    public void WhatIsLeft_IsJudgedByTheScaleOfWords(double unseen, VerdictKind kind) =>
        Assert.Equal(kind, Verdict.Of(s_good with { Before = All(20), UnseenColours = All(unseen) }).Kind);

    // Wrong pairs among the unseen ones raise the mean; the correction did not follow them.
    [Theory]
    [InlineData(3.9, 1.9, VerdictKind.Use)]
    [InlineData(3.9, 2.0, VerdictKind.LookFirst)]
    [InlineData(4.0, 1.9, VerdictKind.LookFirst)]
    public void FewColoursFarOff_AreNoReasonBelow4_WhenMostMatch(double mean, double median, VerdictKind kind) =>
        Assert.Equal(kind, Verdict.Of(s_good with { Before = All(20), UnseenColours = new DeltaEStatistics(60, mean, median, 12, 30) }).Kind);

    [Fact]
    public void DoingNothing_IsUsedWhereTheCamerasAreAlike_AndNotWhereTheyAreApart()
    {
        VerdictEvidence nothing = s_good with { ChangesNothing = true, Groups = 3, CoveredShare = 0.1 };
        Assert.Equal(VerdictKind.Use, Verdict.Of(nothing with { Before = All(0.4), Fitted = All(0.4), UnseenColours = All(0.4) }).Kind);
        Is(VerdictKind.DoNotUse, VerdictCause.NothingHelps, nothing with { Before = All(6), Fitted = All(6), UnseenColours = All(6) });
    }

    [Fact]
    public void ChartAndFloorDisagree_TheFigureIsThatOfUnseenPlaces_AndBothAreSaid()
    {
        VerdictEvidence places = s_good with { UnseenPlaces = All(4.1), Places = [new("the chart", 9, 1.5), new("the floor", 7, 6.7)] };
        Verdict verdict = Verdict.Of(places);
        Assert.Equal(4.1, verdict.Figure.Mean, 1e-12);
        Assert.Equal(VerdictFigure.UnseenPlaces, verdict.FigureOf);
        Is(VerdictKind.LookFirst, VerdictCause.PlacesDisagree, places);
        Assert.Contains(VerdictWords.Reasons(verdict), r => r.Contains("it leaves 1.5 on the chart but 6.7 on the floor", StringComparison.Ordinal));
    }

    [Fact]
    public void CorrectionThatSpoilsUnseenPlaces_IsNotUsed()
    {
        VerdictEvidence places = s_good with { UnseenPlaces = All(6.75), Places = [new("the chart", 9, 7.5), new("the floor", 4, 6)] };
        Is(VerdictKind.DoNotUse, VerdictCause.NoBetterThanNothing, places);
        Assert.Contains(Verdict.Of(places).Reasons, r => r is { Cause: VerdictCause.PlaceGetsWorse, What: "the floor", Value: 6, Other: 4 });
    }

    [Fact]
    public void VeilOverTheOnlyBoard_IsLookedAt_AndNotWhereOtherPlacesWereCompared()
    {
        Is(VerdictKind.LookFirst, VerdictCause.VeiledBoard, s_good with { VeilOfBoard = 0.02 });
        Assert.Equal(VerdictKind.Use, Verdict.Of(s_good with { VeilOfBoard = 0.02, UnseenColours = All(0.9) }).Kind);
        Assert.Equal(VerdictKind.Use, Verdict.Of(s_good with
        {
            VeilOfBoard = 0.02,
            UnseenPlaces = All(1),
            Places = [new("the chart", 9, 1), new("the floor", 9, 1)],
        }).Kind);
    }

    [Fact]
    public void EveryDoubt_IsLookedAtFirst_AndWhatALutMayDoToRareColoursIsSaid()
    {
        Is(VerdictKind.LookFirst, VerdictCause.FewSamples, s_good with { Groups = 11 });
        Is(VerdictKind.LookFirst, VerdictCause.LowCoverage, s_good with { CoveredShare = 0.49 });
        Is(VerdictKind.LookFirst, VerdictCause.ExposureWanders, s_good with { WanderingStops = 0.34 });
        Is(VerdictKind.LookFirst, VerdictCause.SyncUnsure, s_good with { SyncConfidence = 0.89 });
        Is(VerdictKind.Use, VerdictCause.UnsafeTable, s_good with { Danger = "It folds." });
    }

    [Theory]
    [InlineData(0.87, 4.6, 0.1, 0.1, "camera B", VerdictCause.LocalTones)]
    [InlineData(0.56, 2.0, 0.45, 0.2, "camera B", VerdictCause.Shading)]
    [InlineData(0.5, 2.0, 0.1, 0.5, "one of the two cameras", VerdictCause.LocalTones)]
    public void LightnessThatGoesWithThePlace_IsNamedWithWhoseItIs(double share, double deviation, double parabola, double ofPrimary, string whose, VerdictCause cause)
    {
        LightnessCauses lightness = new(Left(ofPrimary, deviation), Left(share, deviation), 0, 5, 0, parabola);
        VerdictReason reason = Assert.Single(Verdict.Of(s_good with { Lightness = lightness }).Reasons);
        Assert.Equal((cause, whose, VerdictKind.LookFirst), (reason.Cause, reason.What, reason.Calls));
    }

    // Clean clips: 16 to 18 % at 0.6; a share that is large of almost nothing; a size that is large by chance.
    [Theory]
    [InlineData(0.18, 0.6)]
    [InlineData(0.9, 0.9)]
    [InlineData(0.3, 5.0)]
    public void LightnessThatHardlyGoesWithThePlace_IsNotNamed(double share, double deviation) =>
        Assert.Empty(Verdict.Of(s_good with { Lightness = new(Left(share, deviation), Left(share, deviation), 0, 0, 0, 0) }).Reasons);

    [Fact]
    public void LightnessThatGoesWithTheInstant_IsWandering_SaidOnce()
    {
        LightnessCauses lightness = new(Left(0, 0), new LeftInLightness(3, new LeftPart(0.77, 2.6, 8), null), 0, 0, 0, 0);
        Is(VerdictKind.LookFirst, VerdictCause.LightnessByInstant, s_good with { Lightness = lightness });
        Assert.Equal(VerdictCause.ExposureWanders, Assert.Single(Verdict.Of(s_good with { Lightness = lightness, WanderingStops = 0.5 }).Reasons).Cause);
    }

    [Theory]
    [InlineData(0.049, 0)]
    [InlineData(0.05, 1)]
    public void ChannelAtTheTopOfItsRange_IsNamedFromATwentiethOfThePictureOn(double share, int reasons)
    {
        Verdict verdict = Verdict.Of(s_good with { SecondaryClipped = new ClippedChannels(0.01, 0, share), PrimaryClipped = new ClippedChannels(0, 0, 0) });
        Assert.Equal(reasons, verdict.Reasons.Length);
        Assert.All(verdict.Reasons, r => Assert.Equal("camera B's blue", r.What));
    }

    [Fact]
    public void CloseChoice_IsSaidAndNoReasonAgainstTheMatch() =>
        Is(VerdictKind.Use, VerdictCause.CloseChoice, s_good with { Close = new CloseChoice(CorrectionKind.Matrix, CorrectionKind.Lattice, 0.06, 0.07) });

    [Fact]
    public void MoreEvidenceAgainst_NeverGivesABetterVerdict() =>
        Gen.Select(Gen.Double[0, 12], Gen.Double[0, 20], Gen.Bool, Gen.Double[0, 1], Gen.Int[1, 40]).Sample((unseen, before, light, covered, groups) =>
        {
            VerdictEvidence evidence = s_good with { Before = All(before), UnseenColours = All(unseen), ShowsOtherLight = light, CoveredShare = covered, Groups = groups };
            VerdictKind kind = Verdict.Of(evidence).Kind;
            Assert.All(
                new[]
                {
                    evidence with { UnseenColours = All(unseen + 0.5) }, evidence with { ShowsOtherLight = true }, evidence with { CoveredShare = covered / 2 },
                    evidence with { Groups = groups / 2 }, evidence with { WanderingStops = 1 }, evidence with { Method = SamplingMethod.Overall },
                },
                worse => Assert.True(Verdict.Of(worse).Kind >= kind));
        });

    [Fact]
    public void EveryCause_HasASentenceAndANameOfItsOwn()
    {
        VerdictReason[] all = [.. Enum.GetValues<VerdictCause>().Select(c => new VerdictReason(c, VerdictKind.LookFirst, 3) { What = "the floor", Against = "the chart", Other = 2 })];
        Assert.Equal(all.Length, all.Select(VerdictWords.Say).Distinct(StringComparer.Ordinal).Count());
        Assert.All(all, r => Assert.EndsWith(r.Cause == VerdictCause.UnsafeTable ? "the floor" : ".", VerdictWords.Say(r), StringComparison.Ordinal));
        Assert.Equal(["use", "look-first", "do-not-use"], Enum.GetValues<VerdictKind>().Select(VerdictWords.Name));
        Assert.Equal("places-disagree", VerdictWords.Name(VerdictCause.PlacesDisagree));
    }

    private static void Is(VerdictKind kind, VerdictCause cause, VerdictEvidence evidence)
    {
        Verdict verdict = Verdict.Of(evidence);
        Assert.Equal(kind, verdict.Kind);
        Assert.Contains(verdict.Reasons, r => r.Cause == cause && (r.Calls == kind || cause == VerdictCause.PlacesDisagree));
        Assert.Equal(verdict.Reasons.OrderByDescending(r => r.Calls), verdict.Reasons);
    }

    private static LeftInLightness Left(double share, double deviation) => new(deviation / Math.Max(0.1, Math.Sqrt(share)), null, new LeftPart(share, deviation, 12));

    private static DeltaEStatistics All(double deltaE, int count = 60) => new(count, deltaE, deltaE, deltaE, deltaE);
}
