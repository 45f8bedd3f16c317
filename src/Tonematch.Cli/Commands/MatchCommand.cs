using System.CommandLine;
using Tonematch.Corrections;
using Tonematch.Exports;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Clips;

namespace Tonematch.Cli.Commands;

/// <summary>tonematch match: the whole job.</summary>
internal static class MatchCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string> primary = Inputs.Primary();
        Argument<string[]> secondaries = Inputs.Secondaries();
        Option<string?> folder = new("--out")
        {
            Description = "The folder for correction.cube, report.html, match.json and the others. Without it a new one beside camera B, named after it.",
            HelpName = "DIR",
        };
        Option<OrAuto<CorrectionKind>> model = Inputs.Model();
        Option<int> lutSize = Inputs.LutSize();
        Option<double?> tolerance = Inputs.Tolerance("The largest mean Delta E after the correction that is good enough; exit code 5 when missed.");
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force();
        SamplingOptions sampling = new();
        Command command = new("match",
            "Makes cameras B, C, ... match camera A: sync, samples, correction, files, report.\nExample: tonematch match wide.mp4 close.mp4 --out match")
        {
            primary, secondaries, folder, model, lutSize, tolerance, json, force,
        };
        sampling.AddTo(command);
        command.SetAction(async (parsed, cancel) =>
        {
            string[] clips = parsed.GetRequiredValue(secondaries);
            string main = parsed.GetRequiredValue(primary);
            sampling.RefuseWhatNeedsOneSecondary(parsed, clips.Length);
            MatchRequest[] requests = [.. clips.Select(clip => sampling.Read(parsed, new MatchRequest(main, clip)
            {
                Model = parsed.GetValue(model).Chosen,
                LutSize = parsed.GetValue(lutSize),
                Tolerance = parsed.GetValue(tolerance),
            }))];
            if (requests.Length > 1)
            {
                await LookAtAllAsync([main, .. clips], cancel);
            }

            List<ResultFolder> results = [];
            try
            {
                results.AddRange(SecondaryFolders.For(parsed.GetValue(folder), clips).Select(f => ResultFolder.Prepare(f, MatchFiles.Names, parsed.GetValue(force), [main, .. clips, .. sampling.Files(parsed)])));
                MatchSummary summary = new(terminal, parsed.GetValue(json));
                for (int i = 0; i < clips.Length; i++)
                {
                    try
                    {
                        MatchOutcome outcome = await terminal.WithProgressAsync(progress => MatchJob.MatchAsync(requests[i], progress, cancel));
                        await MatchFiles.WriteAsync(outcome, results[i], CommandText.Of(parsed), cancel);
                        summary.Done(outcome, results[i]);
                    }
                    catch (Exception e) when (clips.Length > 1 && (e is UnusableInputException or NoTrustworthyResultException))
                    {
                        // One camera that cannot be matched does not hide the others.
                        summary.Refused(clips[i], e.Message, e is UnusableInputException ? ExitCode.UnusableInput : ExitCode.NoTrustworthyResult);
                    }
                }

                return summary.End();
            }
            finally
            {
                // The last one first: the first one takes away what was made for all.
                foreach (ResultFolder prepared in Enumerable.Reverse(results))
                {
                    prepared.Dispose();
                }
            }
        });
        return command;
    }

    // Before the work on the first one begins: the last name of many may be misspelt.
    private static async Task LookAtAllAsync(IEnumerable<string> clips, CancellationToken cancel)
    {
        foreach (string clip in clips)
        {
            await ClipProbe.ProbeAsync(clip, cancel);
        }
    }
}
