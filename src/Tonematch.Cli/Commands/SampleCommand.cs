using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using Tonematch.Exports;
using Tonematch.Formats.Pairs;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Files;
using Tonematch.Samples;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch sample: corresponding colours of two clips, as a file of pairs.</summary>
internal static class SampleCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string> primary = Inputs.Primary();
        Argument<string> secondary = Inputs.Secondary();
        Option<string> file = Inputs.OutFile("The CSV file of pairs.");
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force();
        SamplingOptions sampling = new();
        Command command = new("sample", "Finds corresponding colours in two clips and writes them as a file of pairs, for fit or for your own use.\nExample: tonematch sample wide.mp4 close.mp4 --out pairs.csv")
        {
            primary, secondary, file, json, force,
        };
        sampling.AddTo(command);
        command.SetAction(async (parsed, cancel) =>
        {
            MatchRequest request = sampling.Read(parsed, new MatchRequest(parsed.GetRequiredValue(primary), parsed.GetRequiredValue(secondary)));
            string path = parsed.GetRequiredValue(file);
            string[] inputs = [request.Primary.Path, request.Secondary.Path, .. sampling.Files(parsed)];
            AtomicFile.Check(path, parsed.GetValue(force), inputs);
            (MatchedClips clips, SampleSet samples, ImmutableArray<string> notes) =
                await terminal.WithProgressAsync(progress => MatchJob.SampleAsync(request, progress, cancel));
            if (samples.Pairs.IsEmpty)
            {
                string why = samples.Refusal ?? string.Join(' ', samples.Warnings);
                throw new NoTrustworthyResultException($"No corresponding colours were found, so nothing was written. {why}".TrimEnd());
            }

            AtomicFile.WriteText(path, parsed.GetValue(force), w => PairsCsv.Write(w, samples), inputs);
            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(new
                {
                    File = Path.GetFullPath(path),
                    Method = samples.Method.Name(),
                    samples.Pairs.Length,
                    samples.Rejected,
                    samples.NoiseFloorDeltaE,
                    PrimaryEncoding = samples.PrimaryEncoding.Name,
                    SecondaryEncoding = samples.SecondaryEncoding.Name,
                    Sync = clips.Sync is { } s ? MatchJson.Sync(s) : null,
                }));
            }
            else
            {
                terminal.Line(string.Create(CultureInfo.InvariantCulture, $"{samples.Pairs.Length} pairs ({samples.Method.Name()}) in {Path.GetFullPath(path)}"));
                terminal.Line($"Encodings: camera A {samples.PrimaryEncoding.Name}, camera B {samples.SecondaryEncoding.Name}. Give them to fit.");
            }

            foreach (string warning in samples.Warnings.Concat(notes))
            {
                terminal.Warning(warning);
            }

            return ExitCode.Done;
        });
        return command;
    }
}
