using System.CommandLine;
using System.Globalization;
using Tonematch.Demo;
using Tonematch.Exports;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch demo: the whole job on footage that the program draws itself.</summary>
internal static class DemoCommand
{
    public static Command Create(Terminal terminal)
    {
        Option<string?> folder = new("--out") { Description = "The folder for the demo's clips and results. The default is a new folder: tonematch-demo.", HelpName = "DIR" };
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force();
        Command command = new("demo", "Draws a short scene (a potter glazing), films it with two simulated cameras and matches them.\nExample: tonematch demo --out tonematch-demo") { folder, json, force };
        command.SetAction(async (parsed, cancel) =>
        {
            string root = parsed.GetValue(folder) ?? SecondaryFolders.Fresh("tonematch-demo");
            foreach (string clip in (string[])[DemoFootage.PrimaryName, DemoFootage.SecondaryName])
            {
                if (Path.Exists(Path.Combine(root, clip)) && !parsed.GetValue(force))
                {
                    throw new UnusableInputException($"{Path.Combine(root, clip)} is there already. Name another folder with --out, or add --force to replace it.");
                }
            }

            using ResultFolder results = ResultFolder.Prepare(Path.Combine(root, "match"), MatchFiles.Names, parsed.GetValue(force), []);
            MatchRequest request = new(Path.Combine(root, DemoFootage.PrimaryName), Path.Combine(root, DemoFootage.SecondaryName));

            // Check before half a minute of drawing, not after it.
            VisionNeed.Require(request);
            DemoClips clips = await terminal.WithProgressAsync(progress => DemoFootage.WriteAsync(
                root, cancel, new Forwarded(share => progress.Report(new("Drawing the scene and filming it with two simulated cameras", share)))));
            MatchOutcome outcome = await terminal.WithProgressAsync(progress => MatchJob.MatchAsync(request, progress, cancel));
            await MatchFiles.WriteAsync(outcome, evenSo: false, results, CommandText.Of(parsed), cancel);
            MatchSummary summary = new(terminal, parsed.GetValue(json), evenSo: false);
            summary.Done(outcome, results);
            int exitCode = summary.End();
            if (!parsed.GetValue(json))
            {
                terminal.Line();
                terminal.Line("All footage of the demo is drawn by the program:");
                terminal.Line($"  {Path.GetFullPath(clips.PrimaryPath)}   (camera A, across the room)");
                terminal.Line($"  {Path.GetFullPath(clips.SecondaryPath)}  (camera B, close on the hands)");
                if (outcome.Clips?.Sync is { } sync)
                {
                    terminal.Line(string.Create(CultureInfo.InvariantCulture,
                        $"The true offset of its sound is {clips.Truth.SoundOffsetSeconds:F4} s; {sync.OffsetSeconds:F4} s was found."));
                }

                terminal.Line($"The report: {results.PathOf("report.html")}");
            }

            return exitCode;
        });
        return command;
    }
}
