using System.Globalization;
using Spectre.Console;
using Tonematch.Corrections;
using Tonematch.Exports;
using Tonematch.Fitting;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Words;

namespace Tonematch.Cli.Commands;

/// <summary>What a match or a fit says at its end: the verdict, the table of kinds, the files.</summary>
internal static class MatchSummary
{
    public static int Show(Terminal terminal, IReadOnlyList<(MatchOutcome Outcome, ResultFolder Results)> done, bool json)
    {
        foreach ((MatchOutcome outcome, ResultFolder results) in done)
        {
            if (!json)
            {
                Show(terminal, outcome, results);
            }

            foreach (string warning in outcome.Warnings)
            {
                terminal.Warning(warning);
            }
        }

        if (done.Count > 1 && !json)
        {
            ShowPairs(terminal, PairTable.Of([.. done.Select(d => d.Outcome)]));
        }

        if (json)
        {
            terminal.Line((done.Count == 1 ? MatchJson.Write(done[0].Outcome) : MatchJson.Write(done.Select(d => d.Outcome))).TrimEnd());
        }

        (MatchOutcome Outcome, ResultFolder Results)? missed = done.FirstOrDefault(d => d.Outcome.MissesTolerance);
        if (missed?.Outcome is { } m)
        {
            terminal.Error(string.Create(CultureInfo.InvariantCulture,
                $"The mean Delta E after the correction is {m.Chosen.After.Mean:F2}, above the tolerance of {m.Tolerance:0.##}."));
            return ExitCode.ToleranceMissed;
        }

        return ExitCode.Done;
    }

    private static void Show(Terminal terminal, MatchOutcome outcome, ResultFolder results)
    {
        foreach (string line in MatchWords.Verdict(outcome))
        {
            terminal.Line(line);
        }

        terminal.Line();
        Table table = new Table().Border(TableBorder.Simple)
            .AddColumn("correction")
            .AddColumn(new TableColumn("mean").RightAligned())
            .AddColumn(new TableColumn("95 %").RightAligned())
            .AddColumn(new TableColumn("largest").RightAligned())
            .AddColumn(new TableColumn("on unseen colours").RightAligned())
            .AddColumn("");
        foreach (FittedCandidate c in outcome.Fit.Candidates)
        {
            CorrectionKind kind = c.Correction.Kind;
            table.AddRow(
                kind == CorrectionKind.Identity ? "(nothing done)" : kind.Name(),
                Number(c.Train.Mean),
                Number(c.Train.Percentile95),
                Number(c.Train.Max),
                c.CrossValidated is { } v ? Number(v.Mean) : "-",
                kind == outcome.Chosen.Candidate.Correction.Kind ? "handed over" : kind == outcome.Fit.Advised.Correction.Kind ? "best by the figures" : "");
        }

        terminal.Table(table);
        foreach (string advice in outcome.Difference.OnTheCamera)
        {
            terminal.Line($"Next time: {advice}");
        }

        terminal.Line($"Files in {results.FullPath}:");
        foreach (string name in MatchFiles.Names.Where(n => File.Exists(results.PathOf(n))))
        {
            terminal.Line($"  {name,-16} {MatchFiles.Describe(name)}");
        }
    }

    private static void ShowPairs(Terminal terminal, IReadOnlyList<PairTable.Row> rows)
    {
        Table table = new Table().Border(TableBorder.Simple).AddColumn("cameras")
            .AddColumn(new TableColumn("common colours").RightAligned())
            .AddColumn(new TableColumn("as recorded").RightAligned())
            .AddColumn(new TableColumn("corrected").RightAligned());
        foreach (PairTable.Row row in rows)
        {
            table.AddRow(Markup.Escape($"{row.First} / {row.Second}"), row.Common.ToString(CultureInfo.InvariantCulture), Number(row.Before), Number(row.After));
        }

        terminal.Table(table);
    }

    private static string Number(double deltaE) => deltaE.ToString("F2", CultureInfo.InvariantCulture);
}
