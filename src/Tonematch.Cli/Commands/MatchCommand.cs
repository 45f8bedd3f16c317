using System.CommandLine;
using System.CommandLine.Parsing;
using Tonematch.Corrections;
using Tonematch.Exports;
using Tonematch.Formats;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Files;
using Tonematch.Workbench.Session;

namespace Tonematch.Cli.Commands;

/// <summary>tonematch match: the whole job.</summary>
internal static class MatchCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string> primary = Inputs.Primary();
        Argument<string[]> secondaries = Inputs.Secondaries();

        // Named in the session where one is given.
        primary.Arity = ArgumentArity.ZeroOrOne;
        secondaries.Arity = ArgumentArity.ZeroOrMore;
        Option<string?> session = new("--session") { Description = "A workbench.json: the clips and everything that was decided at the workbench, in place of clips and options.", HelpName = "FILE" };
        Option<string?> trim = new("--trim") { Description = "A JSON file of what is changed by hand after the match (see docs/formats.md).", HelpName = "FILE" };
        Option<double?> strength = Inputs.Number("--strength", "SHARE", "How much of the match is applied: 0 is as recorded, 1 (the default) the whole match.", v => v is >= 0 and <= 1, "a share from 0 to 1, e.g. 0.8");
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
            primary, secondaries, folder, model, lutSize, tolerance, trim, strength, session, json, force,
        };
        sampling.AddTo(command);
        command.SetAction(async (parsed, cancel) =>
        {
            MatchRequest[] requests = parsed.GetValue(session) is { } sessionFile ? FromSession(sessionFile) : FromOptions();
            string[] clips = [.. requests.Select(r => r.Secondary.Path)];
            string main = requests[0].Primary.Path, root = parsed.GetRequiredValue(folder);
            List<(MatchOutcome Outcome, ResultFolder Results)> done = [];
            string[] folders = SecondaryFolders.For(root, clips);
            List<ResultFolder> results = [];
            try
            {
                results.AddRange(folders.Select(f => ResultFolder.Prepare(f, parsed.GetValue(force), [main, .. clips])));
                for (int i = 0; i < requests.Length; i++)
                {
                    MatchRequest request = requests[i];
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

            MatchRequest[] FromOptions()
            {
                if (parsed.GetValue(primary) is not { } first || parsed.GetValue(secondaries) is not { Length: > 0 } others)
                {
                    throw new WrongUseException("Give the clip of camera A and at least one of camera B, or a session: tonematch match wide.mp4 close.mp4 --out match");
                }

                sampling.RefuseWhatNeedsOneSecondary(parsed, others.Length);
                Trim byHand = parsed.GetValue(trim) is { } file ? TrimJson.Read(TextInput.Read(file, "trim", TrimJson.LargestLength), file) : Trim.None;
                return [.. others.Select(clip => sampling.Read(parsed, new MatchRequest(first, clip)
                {
                    Model = parsed.GetValue(model),
                    LutSize = parsed.GetValue(lutSize),
                    Tolerance = parsed.GetValue(tolerance),
                    Trim = parsed.GetValue(strength) is { } share ? byHand with { Strength = share } : byHand,
                }))];
            }

            MatchRequest[] FromSession(string file)
            {
                if (parsed.CommandResult.Children.OfType<OptionResult>().FirstOrDefault(o => !o.Implicit && o.Option != session && o.Option != folder && o.Option != json && o.Option != force && o.Option != tolerance) is { } other)
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
}
