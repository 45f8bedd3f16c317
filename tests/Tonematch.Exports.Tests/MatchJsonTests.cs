using System.Text.Json;
using System.Text.RegularExpressions;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Drift;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Stages;
using Tonematch.Samples;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Exports.Tests;

public class MatchJsonTests
{
    private static readonly DriftTrack s_track = new([new(0, new(-0.5, 0, 0)), new(20, new(0.6, 12, 0))]);

    // The demo's camera holds still, so its match.json says nothing of a course.
    [Fact]
    public void Write_CameraThatWanders_HasTheFieldsThatTheTableNames()
    {
        string row = File.ReadAllLines(RepositoryFolder.PathOf("docs", "formats.md")).Single(l => l.StartsWith("| `drift` |", StringComparison.Ordinal));
        string[] documented = [.. Regex.Matches(row.Split('|')[2], "`([a-z0-9_]+)`").Select(m => m.Groups[1].Value)];
        JsonElement drift = JsonDocument.Parse(MatchJson.Write(Outcome() with { Drift = new DriftOutcome(s_track, new DriftGain(4, 1, 5, [new(10, 4, 1)]), 0.9) })).RootElement.GetProperty("drift");
        string[] inside = ["seconds", "constant", "following"];
        Assert.Equal(documented.Except(inside).Order(), drift.EnumerateObject().Select(p => p.Name).Order());
        Assert.Equal(inside, drift.GetProperty("over_time")[0].EnumerateObject().Select(p => p.Name));
        Assert.Equal(1.1, drift.GetProperty("range_stops").GetDouble(), 1e-9);
        Assert.Equal(20, drift.GetProperty("worst_seconds").GetDouble());
    }

    [Fact]
    public void Write_CameraThatHoldsStill_SaysNull() =>
        Assert.Equal(JsonValueKind.Null, JsonDocument.Parse(MatchJson.Write(Outcome())).RootElement.GetProperty("drift").ValueKind);

    private static MatchOutcome Outcome()
    {
        SampleSet samples = MadeColours.PairsOf(new GainsCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, 1.1, 1, 0.9), MadeColours.Spread(60));
        FitStage.Result fit = FitStage.Run(samples, CorrectionKind.Gains, 17, Trim.None, TestContext.Current.CancellationToken);
        return new MatchOutcome(samples, fit.Fit, fit.Chosen);
    }
}
