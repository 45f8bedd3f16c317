using Tonematch.Matching.Stages;
using System.CommandLine;
using System.Globalization;
using Tonematch.Demo;
using Tonematch.Exports;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;

namespace Tonematch.Cli.Commands;

/// <summary>tonematch demo: the whole job on footage that the program draws itself.</summary>
internal static class DemoCommand
{
    public static Command Create(Terminal terminal)
    {
        Option<string> folder = new("--out") { Description = "The folder for the demo's clips and results.", HelpName = "DIR", DefaultValueFactory = _ => "tonematch-demo" };
        Option<bool> json = Inputs.Json();
        Command command = new("demo", "Draws a short scene (a potter glazing), films it with two simulated cameras and matches them.\nExample: tonematch demo --out tonematch-demo") { folder, json };
        command.SetAction(async (parsed, cancel) =>
        {
            string root = parsed.GetRequiredValue(folder);

            // The demo's results are made by the program alone, so an earlier demo may be replaced.
            using ResultFolder results = ResultFolder.Prepare(Path.Combine(root, "match"), force: true, []);
            MatchRequest request = new(Path.Combine(root, DemoFootage.PrimaryName), Path.Combine(root, DemoFootage.SecondaryName));

            // Before half a minute of drawing, not after it.
            VisionNeed.Require(request);
            DemoClips clips = await terminal.WithProgressAsync(progress => DemoFootage.WriteAsync(
                root, cancel, new Forwarded(share => progress.Report(new("Drawing the scene and filming it with two simulated cameras", share)))));
            MatchOutcome outcome = await terminal.WithProgressAsync(progress => MatchJob.MatchAsync(request, progress, cancel));
            await MatchFiles.WriteAsync(outcome, results, CommandText.Of(parsed), cancel);
            int exitCode = MatchSummary.Show(terminal, [(outcome, results)], parsed.GetValue(json));
            if (!parsed.GetValue(json))
            {
                terminal.Line();
                terminal.Line("All footage of the demo is drawn by the program:");
                terminal.Line($"  {Path.GetFullPath(clips.PrimaryPath)}   (primary, across the room)");
                terminal.Line($"  {Path.GetFullPath(clips.SecondaryPath)}  (secondary, close on the hands)");
                if (outcome.Clips?.Sync is { } sync)
                {
                    terminal.Line(string.Create(CultureInfo.InvariantCulture,
                        $"The true offset of its sound is {clips.Truth.SoundOffsetSeconds:F4} s; found was {sync.OffsetSeconds:F4} s."));
                }

                terminal.Line($"The report: {results.PathOf("report.html")}");
            }

            return exitCode;
        });
        return command;
    }

    private sealed class Forwarded(Action<double> report) : IProgress<double>
    {
        public void Report(double value) => report(value);
    }
}
