using System.Globalization;
using System.Text.Json.Nodes;
using Spectre.Console;
using Tonematch.Corrections;
using Tonematch.Exports;
using Tonematch.Fitting;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Words;

namespace Tonematch.Cli.Commands;

/// <summary>The output of a match or a fit: for each camera when it is done, and for all at the end.</summary>
/// <param name="terminal">The output.</param>
/// <param name="json">One JSON text at the end instead of words.</param>
/// <param name="evenSo">Whether the correction is written whatever the verdict.</param>
internal sealed class MatchSummary(Terminal terminal, bool json, bool evenSo)
{
    private readonly List<MatchOutcome> _done = [];
    private readonly JsonArray _texts = [];
    private int _refused;

    /// <summary>One camera was matched, and its files are written.</summary>
    public void Done(MatchOutcome outcome, ResultFolder results)
    {
        _done.Add(outcome);
        if (json)
        {
            _texts.Add(JsonNode.Parse(MatchJson.Write(outcome)));
        }
        else
        {
            if (_done.Count > 1)
            {
                terminal.Line();
            }

            Show(outcome, results);
        }

        foreach (string warning in outcome.Warnings)
        {
            terminal.Warning(warning);
        }

        if (outcome.Verdict.Kind == VerdictKind.DoNotUse)
        {
            terminal.Error($"{VerdictWords.Headline(outcome.Verdict)} {(MatchFiles.HandsOver(outcome, evenSo) ? "It is written even so." : "Only the report and match.json are written; --even-so writes the correction too.")}");
        }
    }

    /// <summary>One camera of several could not be matched.</summary>
    /// <param name="clip">Its clip.</param>
    /// <param name="why">The reason, in a sentence.</param>
    /// <param name="exitCode">The program's exit code if it had been the only one.</param>
    public void Refused(string clip, string why, int exitCode)
    {
        _refused = Math.Max(_refused, exitCode);
        _texts.Add(JsonNode.Parse(MatchJson.Write(new { Secondary = new { Path = Path.GetFullPath(clip) }, Refused = why, ExitCode = exitCode })));
        terminal.Error($"{Path.GetFileName(clip)} was not matched: {why}");
    }

    /// <summary>Prints what concerns all cameras; returns the exit code.</summary>
    public int End()
    {
        if (_done.Count > 1 && !json)
        {
            ShowPairs(PairTable.Of(_done));
        }

        if (json)
        {
            terminal.Json(MatchJson.Write(_texts.Count == 1 ? _texts[0]! : _texts));
        }

        if (_refused > 0)
        {
            return _refused;
        }

        if (_done.Exists(o => o.Verdict.Kind == VerdictKind.DoNotUse))
        {
            return ExitCode.NoTrustworthyResult;
        }

        if (_done.Find(o => o.MissesTolerance) is { } missed)
        {
            terminal.Error(string.Create(CultureInfo.InvariantCulture,
                $"The mean Delta E {VerdictWords.On(missed.Verdict.FigureOf)} is {missed.Verdict.Figure.Mean:F2}, above the tolerance of {missed.Tolerance:0.##}."));
            return ExitCode.ToleranceMissed;
        }

        return ExitCode.Done;
    }

    private void Show(MatchOutcome outcome, ResultFolder results)
    {
        foreach (string line in MatchWords.Lines(outcome))
        {
            terminal.Line(line);
        }

        terminal.Line();
        Table table = new Table().Border(TableBorder.Simple)
            .AddColumn("correction")
            .AddColumn(new TableColumn("mean").RightAligned())
            .AddColumn(new TableColumn("95 %").RightAligned())
            .AddColumn(new TableColumn("largest").RightAligned())
            .AddColumn(new TableColumn("unseen\ncolours").RightAligned())
            .AddColumn(new TableColumn("unseen\nplaces").RightAligned())
            .AddColumn("");
        foreach (FittedCandidate c in outcome.Fit.Candidates)
        {
            CorrectionKind kind = c.Correction.Kind;
            table.AddRow(
                kind == CorrectionKind.Identity ? "(no correction)" : kind.Name(),
                Number(c.Train.Mean),
                Number(c.Train.Percentile95),
                Number(c.Train.Max),
                c.CrossValidated is { } v ? Number(v.Mean) : "-",
                c.UnseenPlaces is { } places ? Number(places.Mean) : "-",
                kind == outcome.Chosen.Candidate.Correction.Kind ? "handed over" : kind == outcome.Fit.Advised.Correction.Kind ? "advised" : "");
        }

        terminal.Table(table);
        foreach (string advice in outcome.NextTime)
        {
            terminal.Line($"Next time: {advice}");
        }

        terminal.Line($"Files in {results.FullPath}:");
        foreach (string name in MatchFiles.Names.Where(n => File.Exists(results.PathOf(n))))
        {
            terminal.Line($"  {name,-16} {MatchFiles.Describe(name)}");
        }
    }

    private void ShowPairs(IReadOnlyList<PairTable.Row> rows)
    {
        Table table = new Table().Border(TableBorder.Simple).AddColumn("cameras")
            .AddColumn(new TableColumn("common colours").RightAligned())
            .AddColumn(new TableColumn("as recorded").RightAligned())
            .AddColumn(new TableColumn("corrected").RightAligned());
        foreach (PairTable.Row row in rows)
        {
            table.AddRow(Terminal.Cell($"{row.First} / {row.Second}"), row.Common.ToString(CultureInfo.InvariantCulture), Number(row.Before), Number(row.After));
        }

        terminal.Table(table);
    }

    private static string Number(double deltaE) => deltaE.ToString("F2", CultureInfo.InvariantCulture);
}
