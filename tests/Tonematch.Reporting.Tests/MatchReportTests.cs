using Tonematch.Demo;
using Tonematch.Demo.Tests;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Words;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Reporting.Tests;

/// <summary>The whole pipeline on the demo's clips, against what was drawn, and its report.</summary>
public sealed class MatchReportTests(DemoFixture demo)
{
    [Fact]
    public async Task Model_OfTheDemosMatch_SaysWhatIsTrueOfTheDemo()
    {
        ExternalTool.Ffmpeg();
        CancellationToken cancel = TestContext.Current.CancellationToken;
        DemoClips clips = demo.Clips;
        MatchOutcome outcome = await MatchJob.MatchAsync(new MatchRequest(clips.PrimaryPath, clips.SecondaryPath) { At = ["3.6", "10.5"] }, new Progress<StageProgress>(), cancel);
        ReportContext evidence = await ReportEvidence.GatherAsync(outcome, "tonematch match", cancel);
        ReportModel model = MatchReport.Model(outcome, evidence);

        // The clear moment is one of the claps, heard late by the sound's way to the camera.
        double moment = outcome.Clips!.Sound!.MomentSeconds - (clips.Truth.PrimaryDistanceMetres / 343);
        Assert.True(clips.Truth.ClapPrimarySeconds.Any(clap => Math.Abs(clap - moment) < 0.02), $"no clap at {moment} s");
        Assert.Equal(outcome.Clips!.Sound.MomentSeconds + outcome.Clips!.Sync!.OffsetSeconds, outcome.Clips!.AtMoment!.Secondary.Seconds, 0.04);
        Assert.Equal(2, model.HowComputed.Count(f => f.Value.StartsWith("SHA-256 ", StringComparison.Ordinal)));

        Assert.Equal(clips.Truth.SoundOffsetSeconds, outcome.Clips.Sync.OffsetSeconds, 0.002);
        Assert.Equal(outcome.Samples.Pairs.Length, model.Pairs.Length);
        Assert.True(model.After.Mean < 2.5 && model.After.Mean < model.Before.Mean / 2, $"{model.Before.Mean} to {model.After.Mean}");
        Assert.Equal(model.After.Mean, model.Pairs.Sum(p => p.Weight * p.DeltaEAfter) / model.Pairs.Sum(p => p.Weight), 1e-9);

        // The secondary's sensor gets less light and less blue, and its picture style is harder (DemoCamera).
        CameraDifference difference = outcome.Difference;
        Assert.InRange(difference.ExposureStops, -0.8, -0.1);
        Assert.True(difference.White.Mired > 10);
        Assert.Contains("under", model.Lead[0], StringComparison.Ordinal);

        string page = ReportPage.Render(model);
        Assert.Contains(DemoFootage.SecondaryName, page, StringComparison.Ordinal);
        Assert.True(page.Length < 4_000_000);
    }
}
