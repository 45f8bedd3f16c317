using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Tests.Stages;
using Tonematch.Samples;
using Tonematch.Sync;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Matching.Tests;

/// <summary>The whole job on clips that no file holds.</summary>
public class MatchJobTests
{
    [Fact]
    public async Task Match_ChartMarkedInBoth_BringsTheSecondaryToThePrimary()
    {
        MadeClipReader reader = new();
        reader.Add(MadeClip.Of("a", 640, 360), _ => DrawnScene.Chart(0.9));
        reader.Add(MadeClip.Of("b", 640, 360), _ => DrawnScene.Chart(0.7));
        MatchRequest request = new("a", "b")
        {
            Reader = reader,
            OffsetSeconds = -1,
            At = ["3", "5"],
            Primary = new("a") { ChartCorners = DrawnScene.ChartCorners },
            Secondary = new("b") { ChartCorners = DrawnScene.ChartCorners },
            Model = CorrectionKind.Cdl,
            LutSize = 17,
        };
        MatchOutcome outcome = await MatchJob.MatchAsync(request, new Progress<StageProgress>(), TestContext.Current.CancellationToken);
        Assert.Equal((SamplingMethod.Chart, SyncMethod.Given), (outcome.Samples.Method, outcome.Clips!.Sync!.Method));
        Assert.True(outcome.Fit.Before.Mean > 5 && outcome.Chosen.After.Mean < 0.5, $"{outcome.Fit.Before.Mean} to {outcome.Chosen.After.Mean}");
        Assert.DoesNotContain(reader.Asked, asked => asked.StartsWith("sound", StringComparison.Ordinal));
        Assert.NotNull(outcome.OverTime);
    }

    [Fact]
    public async Task Fit_OfAFile_TellsHowFarItIs()
    {
        using TempFolder folder = new();
        string file = folder.PathOf("pairs.csv");
        Random random = new(1);
        double Code() => 0.1 + (0.7 * random.NextDouble());
        await File.WriteAllLinesAsync(file, [
            "id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b",
            .. Enumerable.Range(0, 40).Select(i =>
            {
                (double r, double g, double b) = (Code(), Code(), Code());
                return FormattableString.Invariant($"p{i},g{i},{r:0.####},{g:0.####},{b:0.####},{0.9 * r:0.####},{0.85 * g:0.####},{0.8 * b:0.####}");
            }),
        ], TestContext.Current.CancellationToken);
        ToldProgress told = new();
        await MatchJob.FitAsync(new FitRequest(file, SignalEncoding.Bt709, SignalEncoding.Bt709) { LutSize = 5 }, told, TestContext.Current.CancellationToken);
        double[] shares = [.. told.All.Where(s => s.Stage == "Fitting the corrections").Select(s => s.Share)];
        Assert.True(shares.Length > 6, $"{shares.Length} reports");
        Assert.Equal(shares.Order(), shares);
        Assert.InRange(shares[^1], 0.8, 1);
    }

    private sealed class ToldProgress : IProgress<StageProgress>
    {
        public List<StageProgress> All { get; } = [];

        public void Report(StageProgress value) => All.Add(value);
    }

    [Fact]
    public async Task Sample_TheSameFileTwice_SaysSoFirst()
    {
        MadeClipReader reader = new();
        reader.Add(MadeClip.Of("a", 640, 360), _ => DrawnScene.Tiles(1));
        MatchRequest request = new("a", "a") { Reader = reader, OffsetSeconds = 0, Method = SamplingMethod.Overall };
        MatchJob.Sampled sampled = await MatchJob.SampleAsync(request, new Progress<StageProgress>(), TestContext.Current.CancellationToken);
        Assert.Equal("Camera A and camera B are the same file: there is nothing to match.", sampled.Notes[0]);
    }
}
