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
        (Argument<string?> primary, Argument<string[]> secondaries) = Inputs.PrimaryAndSecondaries();
        Option<string> folder = Inputs.OutFolder("The folder for correction.cube, report.html, match.json and the others.");
        Option<CorrectionKind?> model = Inputs.Model();
        Option<int> lutSize = Inputs.LutSize();
        Option<double?> tolerance = Inputs.Tolerance("The largest mean Delta E after the correction that is good enough; exit code 5 when missed.");
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force();
        Option<string[]> cameras = ShootMatchRun.CameraOption();
        SamplingOptions sampling = new();
        Command command = new("match",
            "Makes the secondaries match the primary: sync, samples, correction, files, report.\nExample: tonematch match wide.mp4 close.mp4 --out match\nWhole cameras, a folder each: tonematch match camera-a/ camera-b/ phone/ --out matched")
        {
            primary, secondaries, folder, model, lutSize, tolerance, json, force, cameras,
        };
        sampling.AddTo(command);
        Inputs.RequireTwo(command, primary, secondaries, cameras);
        command.SetAction(async (parsed, cancel) =>
        {
            string[] clips = parsed.GetValue(secondaries) ?? [], named = parsed.GetValue(cameras) ?? [];
            string? first = parsed.GetValue(primary);
            string root = parsed.GetRequiredValue(folder);
            string[] all = [.. first is null ? (string[])[] : [first], .. clips];
            if (ShootMatchRun.IsShoot(all, named))
            {
                sampling.RefuseWhatNeedsOneSecondary(parsed, 2);
                MatchRequest settings = sampling.Read(parsed, new MatchRequest("", "")
                {
                    Model = parsed.GetValue(model),
                    LutSize = parsed.GetValue(lutSize),
                    Tolerance = parsed.GetValue(tolerance),
                });
                return await ShootMatchRun.MatchAsync(terminal, all, named, root, parsed.GetValue(force), settings, CommandText.Of(parsed), cancel);
            }

            string main = first ?? "";
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
