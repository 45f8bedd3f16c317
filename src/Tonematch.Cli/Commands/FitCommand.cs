using System.CommandLine;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Exports;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch fit: from a file of measured pairs to the correction.</summary>
internal static class FitCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string> pairs = new("pairs")
        {
            Description = "CSV with the header id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b[,weight[,label[,locality]]]; code values 0..1.",
        };
        Option<string> folder = Inputs.OutFolder("The folder for correction.cube, match.json and the others.");
        Option<OrAuto<CorrectionKind>> model = Inputs.Model();
        Option<int> lutSize = Inputs.LutSize();
        Option<SignalEncoding?> both = Inputs.Encoding("--encoding", "The encoding of both cameras' code values");
        Option<SignalEncoding?> primary = Inputs.Encoding("--primary-encoding", "The encoding of camera A's code values");
        Option<SignalEncoding?> secondary = Inputs.Encoding("--secondary-encoding", "The encoding of camera B's code values");
        Option<double?> tolerance = Inputs.Tolerance("The largest mean Delta E after the correction that is acceptable; exit code 5 when missed.");
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force(), evenSo = Inputs.EvenSo();
        Command command = new("fit", "Fits a correction to corresponding colours from a file.\nExample: tonematch fit pairs.csv --out match --encoding bt709")
        {
            pairs, folder, model, lutSize, both, primary, secondary, tolerance, json, force, evenSo,
        };
        command.SetAction(async (parsed, cancel) =>
        {
            SignalEncoding? shared = parsed.GetValue(both);
            SignalEncoding? ofPrimary = shared ?? parsed.GetValue(primary), ofSecondary = shared ?? parsed.GetValue(secondary);
            if (shared is not null && (parsed.GetValue(primary) ?? parsed.GetValue(secondary)) is not null)
            {
                throw new WrongUseException("Give either --encoding for both, or --primary-encoding and --secondary-encoding.");
            }

            FitRequest request = new(parsed.GetRequiredValue(pairs), ofPrimary ?? SignalEncoding.Bt709, ofSecondary ?? SignalEncoding.Bt709)
            {
                Model = parsed.GetValue(model).Chosen,
                LutSize = parsed.GetValue(lutSize),
                Tolerance = parsed.GetValue(tolerance),
                EncodingWasAssumed = ofPrimary is null || ofSecondary is null,
            };
            using ResultFolder results = ResultFolder.Prepare(parsed.GetRequiredValue(folder), MatchFiles.Names, parsed.GetValue(force), [request.PairsPath]);
            MatchOutcome outcome = await terminal.WithProgressAsync(progress => MatchJob.FitAsync(request, progress, cancel));
            await MatchFiles.WriteAsync(outcome, parsed.GetValue(evenSo), results, CommandText.Of(parsed), cancel);
            MatchSummary summary = new(terminal, parsed.GetValue(json), parsed.GetValue(evenSo));
            summary.Done(outcome, results);
            return summary.End();
        });
        return command;
    }
}
