using System.CommandLine;
using System.CommandLine.Parsing;
using Tonematch.Corrections;
using Tonematch.Exports;
using Tonematch.Formats;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Workbench.Session;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch match: the whole job.</summary>
internal static class MatchCommand
{
    public static Command Create(Terminal terminal)
    {
        (Argument<string?> primary, Argument<string[]> secondaries) = Inputs.PrimaryAndSecondaries();
        Option<string?> session = new("--session") { Description = "A workbench.json: the clips and all decisions made at the workbench, instead of clips and options.", HelpName = "FILE" };
        Option<string?> trim = new("--trim") { Description = "A JSON file of changes made by hand after the match (see docs/formats.md).", HelpName = "FILE" };
        Option<double?> strength = Inputs.Number("--strength", "SHARE", "How much of the match is applied: 0 is as recorded, 1 (the default) the whole match.", v => v is >= 0 and <= 1, "a share from 0 to 1, e.g. 0.8");
        Option<string?> folder = new("--out")
        {
            Description = "The folder for correction.cube, report.html, match.json and the others. The default is a new folder beside camera B's clip, named after it.",
            HelpName = "DIR",
        };
        Option<OrAuto<CorrectionKind>> model = Inputs.Model();
        Option<int> lutSize = Inputs.LutSize();
        Option<double?> tolerance = Inputs.Tolerance("The largest mean Delta E after the correction that is acceptable; exit code 5 when missed.");
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force(), evenSo = Inputs.EvenSo();
        Option<string[]> cameras = ShootMatchRun.CameraOption();
        SamplingOptions sampling = new();
        Command command = new("match",
            "Makes cameras B, C, ... match camera A: sync, samples, correction, files, report.\nExample: tonematch match wide.mp4 close.mp4 --out match\nWhole cameras, a folder each: tonematch match camera-a/ camera-b/ phone/ --out matched")
        {
            primary, secondaries, folder, model, lutSize, tolerance, trim, strength, session, json, force, evenSo, cameras,
        };
        sampling.AddTo(command);
        Inputs.RequireTwo(command, primary, secondaries, cameras, session);
        command.SetAction(async (parsed, cancel) =>
        {
            string[] clips = parsed.GetValue(secondaries) ?? [], named = parsed.GetValue(cameras) ?? [];
            string? first = parsed.GetValue(primary);
            string[] all = [.. first is null ? (string[])[] : [first], .. clips];
            if (ShootMatchRun.IsShoot(all, named))
            {
                ShootMatchRun.RefuseJson(parsed.GetValue(json));
                sampling.RefuseWhatNeedsOneSecondary(parsed, 2);
                sampling.RefuseInputsOfCameras(parsed);
                MatchRequest settings = sampling.Read(parsed, new MatchRequest("", "")
                {
                    Model = parsed.GetValue(model).Chosen,
                    LutSize = parsed.GetValue(lutSize),
                    Tolerance = parsed.GetValue(tolerance),
                });
                string root = parsed.GetValue(folder) ?? throw new WrongUseException("match needs --out for whole cameras: a folder for all results.");
                return await ShootMatchRun.MatchAsync(terminal, all, named, root, parsed.GetValue(force), parsed.GetValue(evenSo), settings, CommandText.Of(parsed), cancel);
            }

            MatchRequest[] requests = parsed.GetValue(session) is { } sessionFile ? FromSession(sessionFile) : FromOptions(first!, clips);
            string main = requests[0].Primary.Path;
            clips = [.. requests.Select(r => r.Secondary.Path)];
            if (requests.Length > 1)
            {
                await LookAtAllAsync([main, .. clips], cancel);
            }

            List<ResultFolder> results = [];
            try
            {
                results.AddRange(SecondaryFolders.For(parsed.GetValue(folder), clips).Select(f => ResultFolder.Prepare(f, MatchFiles.Names, parsed.GetValue(force), [main, .. clips, .. sampling.Files(parsed), .. parsed.GetValue(trim) is { } t ? [t] : (string[])[], .. parsed.GetValue(session) is { } decided ? [decided] : (string[])[]])));
                MatchSummary summary = new(terminal, parsed.GetValue(json), parsed.GetValue(evenSo));
                for (int i = 0; i < clips.Length; i++)
                {
                    try
                    {
                        MatchOutcome outcome = await terminal.WithProgressAsync(progress => MatchJob.MatchAsync(requests[i], progress, cancel));
                        await MatchFiles.WriteAsync(outcome, parsed.GetValue(evenSo), results[i], CommandText.Of(parsed), cancel);
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
                // In reverse order, because the first one removes what was created for all.
                foreach (ResultFolder prepared in Enumerable.Reverse(results))
                {
                    prepared.Dispose();
                }
            }

            MatchRequest[] FromOptions(string ofPrimary, string[] others)
            {
                sampling.RefuseWhatNeedsOneSecondary(parsed, others.Length);
                Trim byHand = parsed.GetValue(trim) is { } file ? TrimJson.Read(TextInput.Read(file, "trim", TrimJson.LargestLength), file) : Trim.None;
                return [.. others.Select(clip => sampling.Read(parsed, new MatchRequest(ofPrimary, clip)
                {
                    Model = parsed.GetValue(model).Chosen,
                    LutSize = parsed.GetValue(lutSize),
                    Tolerance = parsed.GetValue(tolerance),
                    Trim = parsed.GetValue(strength) is { } share ? byHand with { Strength = share } : byHand,
                }))];
            }

            MatchRequest[] FromSession(string file)
            {
                if (parsed.CommandResult.Children.OfType<OptionResult>().FirstOrDefault(o => !o.Implicit && o.Option != session && o.Option != folder && o.Option != json && o.Option != force && o.Option != evenSo && o.Option != tolerance) is { } other)
                {
                    throw new WrongUseException($"{other.Option.Name} is decided in the session: leave it out, or change it at the workbench.");
                }

                if (parsed.GetValue(primary) is not null)
                {
                    throw new WrongUseException("The clips are named in the session: leave them out.");
                }

                WorkbenchSession decided = SessionFile.Read(file);
                return decided.Secondaries.IsEmpty
                    ? throw new UnusableInputException($"{file} names no clip of camera B. Choose one at the workbench first.")
                    : [.. decided.Secondaries.Select(m => decided.RequestOf(m) with { Tolerance = parsed.GetValue(tolerance) })];
            }
        });
        return command;
    }

    // Before the work on the first one begins, because the last of many names may be misspelt.
    private static async Task LookAtAllAsync(IEnumerable<string> clips, CancellationToken cancel)
    {
        foreach (string clip in clips)
        {
            await ClipProbe.ProbeAsync(clip, cancel);
        }
    }
}
