using System.CommandLine;
using Tonematch.Corrections;
using Tonematch.Exports;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;

namespace Tonematch.Cli.Commands;

/// <summary>tonematch match: the whole job.</summary>
internal static class MatchCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string> primary = Inputs.Primary();
        Argument<string[]> secondaries = Inputs.Secondaries();
        Option<string> folder = Inputs.OutFolder("The folder for correction.cube, report.html, match.json and the others.");
        Option<CorrectionKind?> model = Inputs.Model();
        Option<int> lutSize = Inputs.LutSize();
        Option<double?> tolerance = Inputs.Tolerance("The largest mean Delta E after the correction that is good enough; exit code 5 when missed.");
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force();
        SamplingOptions sampling = new();
        Command command = new("match",
            "Makes the secondaries match the primary: sync, samples, correction, files, report.\nExample: tonematch match wide.mp4 close.mp4 --out match")
        {
            primary, secondaries, folder, model, lutSize, tolerance, json, force,
        };
        sampling.AddTo(command);
        command.SetAction(async (parsed, cancel) =>
        {
            string[] clips = parsed.GetRequiredValue(secondaries);
            string main = parsed.GetRequiredValue(primary);
            string root = parsed.GetRequiredValue(folder);
            sampling.RefuseWhatNeedsOneSecondary(parsed, clips.Length);
            List<(MatchOutcome Outcome, ResultFolder Results)> done = [];
            string[] folders = SecondaryFolders.For(root, clips);
            List<ResultFolder> results = [];
            try
            {
                results.AddRange(folders.Select(f => ResultFolder.Prepare(f, parsed.GetValue(force), [main, .. clips])));
                for (int i = 0; i < clips.Length; i++)
                {
                    MatchRequest request = sampling.Read(parsed, new MatchRequest(main, clips[i])
                    {
                        Model = parsed.GetValue(model),
                        LutSize = parsed.GetValue(lutSize),
                        Tolerance = parsed.GetValue(tolerance),
                    });
                    MatchOutcome outcome = await terminal.WithProgressAsync(progress => MatchJob.MatchAsync(request, progress, cancel));
                    await MatchFiles.WriteAsync(outcome, results[i], CommandText.Of(parsed), cancel);
                    done.Add((outcome, results[i]));
                }

                return MatchSummary.Show(terminal, done, parsed.GetValue(json));
            }
            finally
            {
                results.ForEach(r => r.Dispose());
            }
        });
        return command;
    }
}
