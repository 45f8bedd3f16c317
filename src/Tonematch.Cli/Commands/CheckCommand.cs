using System.CommandLine;
using System.Globalization;
using Spectre.Console;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Tonematch.Drift;
using Tonematch.Exports;
using Tonematch.Exports.Corrections;
using Tonematch.Exports.Rendering;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Words;
using Tonematch.Media.Files;
using Tonematch.Reporting;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch check: does the match hold over the whole recording?</summary>
internal static class CheckCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string> primary = Inputs.Primary();
        Argument<string> secondary = Inputs.Secondary();
        Option<string?> file = new("--correction") { Description = $"{LutFiles.Endings}, applied to camera B first. Without it the clips are compared as they are.", HelpName = "FILE" };
        Option<string?> drift = new("--drift") { Description = "A drift.csv: camera B's changes of exposure and white balance, removed before the correction, as render does.", HelpName = "FILE" };
        Option<double?> tolerance = Inputs.Tolerance(string.Create(CultureInfo.InvariantCulture, $"The mean Delta E that passes (default {MatchCheck.UsualTolerance:0.#}); exit code 5 when missed."));
        Option<bool> everyFrame = new("--every-frame") { Description = "Compares every frame of the overlap, not only two instants per minute: takes as long as decoding both clips." };
        Option<string?> csv = new("--csv") { Description = "Writes the figures over time as CSV.", HelpName = "FILE" };
        Option<string?> plot = new("--plot") { Description = "Writes the figures over time as a drawing: an .svg file, for any browser.", HelpName = "FILE" };
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force();
        SamplingOptions sampling = new();
        Command command = new("check", "Compares two clips over their whole overlap: Delta E over time, by zone, on skin and neutrals; jumps of exposure and white balance.\nExample: tonematch check wide.mp4 close.mp4 --correction match/correction.cube")
        {
            primary, secondary, file, drift, everyFrame, tolerance, csv, plot, json, force,
        };
        sampling.AddTo(command);
        command.SetAction(async (parsed, cancel) =>
        {
            MatchRequest request = sampling.Read(parsed, new MatchRequest(parsed.GetRequiredValue(primary), parsed.GetRequiredValue(secondary)));
            string? csvPath = parsed.GetValue(csv);
            string[] inputs = [request.Primary.Path, request.Secondary.Path, .. parsed.GetValue(file) is { } f ? [f] : (string[])[], .. parsed.GetValue(drift) is { } own ? [own] : (string[])[], .. sampling.Files(parsed)];
            string? plotPath = parsed.GetValue(plot);
            DriftTrack? course = parsed.GetValue(drift) is { } d ? RenderRunner.ReadDrift(d) : null;
            if (plotPath is not null && !plotPath.EndsWith(".svg", StringComparison.OrdinalIgnoreCase))
            {
                throw new WrongUseException($"--plot writes SVG: name a file that ends in .svg, not '{plotPath}'.");
            }

            foreach (string result in new[] { csvPath, plotPath }.OfType<string>())
            {
                AtomicFile.Check(result, parsed.GetValue(force), inputs);
            }

            bool hasInput = sampling.HasSecondaryInput(parsed);
            if (hasInput && course is not null)
            {
                throw new WrongUseException("--drift applies to the clip as it was recorded, but --secondary-input would come before it: give only one of them.");
            }

            CorrectionFile? correction = parsed.GetValue(file) is { } path ? await LutFiles.ReadAsync(path, cancel) : null;
            if (hasInput && correction is { HoldsInput: true })
            {
                throw new WrongUseException($"{correction.Path} already includes camera B's input LUT: leave out --secondary-input.");
            }

            CheckOutcome outcome = await terminal.WithProgressAsync(progress =>
                CheckJob.RunAsync(request, correction?.Apply, parsed.GetValue(tolerance) ?? MatchCheck.UsualTolerance, parsed.GetValue(everyFrame), course, progress, cancel));
            if (csvPath is not null)
            {
                AtomicFile.WriteText(csvPath, parsed.GetValue(force), w => w.Write(CheckExport.Csv(outcome.Result)), inputs);
            }

            if (plotPath is not null)
            {
                AtomicFile.WriteText(plotPath, parsed.GetValue(force), w => w.Write(CheckPlot.Svg(
                    outcome.Result, Path.GetFileName(request.Primary.Path), Path.GetFileName(request.Secondary.Path), Path.GetFileName(parsed.GetValue(file)), outcome.LookedAt)), inputs);
            }

            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(CheckExport.Describe(outcome)));
            }
            else
            {
                Show(terminal, outcome);
            }

            foreach (string warning in outcome.Warnings)
            {
                terminal.Warning(warning);
            }

            if (!outcome.Result.Passes)
            {
                terminal.Error(CheckWords.WhyMissed(outcome.Result));
                return ExitCode.ToleranceMissed;
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static void Show(Terminal terminal, CheckOutcome outcome)
    {
        CheckResult r = outcome.Result;
        if (outcome.Sync is { } sync)
        {
            terminal.Line(MatchWords.InTime(sync, outcome.Primary.FrameRate.Value));
        }

        terminal.Line(string.Create(CultureInfo.InvariantCulture,
            $"Delta E {r.All.Mean:F2} on average over {r.OverTime.Length} {(outcome.EveryFrame ? "frames" : "instants")} ({DeltaEWords.Visible(r.All.Mean)}); the worst has {r.OverTime.Max(i => i.DeltaE.Mean):F2}, at {r.OverTime.MaxBy(i => i.DeltaE.Mean)!.PrimarySeconds:F2} s of camera A."));
        terminal.Line();
        Table table = new Table().Border(TableBorder.Simple).AddColumn("where")
            .AddColumn(new TableColumn("mean").RightAligned()).AddColumn(new TableColumn("95 %").RightAligned()).AddColumn(new TableColumn("colours").RightAligned());
        foreach ((string name, DeltaEStatistics s) in CheckWords.Zones(r).Prepend(("everything", r.All)))
        {
            table.AddRow(name, s.Mean.ToString("F2", CultureInfo.InvariantCulture), s.Percentile95.ToString("F2", CultureInfo.InvariantCulture), s.Count.ToString(CultureInfo.InvariantCulture));
        }

        terminal.Table(table);
        foreach (string line in outcome.Drift is { } drift ? [.. CheckWords.Steps(r), DriftWords.Leaves(drift)] : CheckWords.Steps(r))
        {
            terminal.Line(line);
        }
    }
}
