using System.CommandLine;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Exports;
using Tonematch.Exports.Corrections;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch lut: inspects, compares and converts correction files.</summary>
internal static class LutCommand
{
    public static Command Create(Terminal terminal) => new("lut", "Inspects, compares and converts LUT files.\nExample: tonematch lut inspect match/correction.cube")
    {
        Inspect(terminal),
        Compare(terminal),
        Convert(terminal),
    };

    private static Command Inspect(Terminal terminal)
    {
        Argument<string[]> files = new("file") { Description = $"{LutFiles.Endings}.", Arity = ArgumentArity.OneOrMore };
        Option<bool> json = Inputs.Json();
        Command command = new("inspect", "Shows what a correction file holds and whether it bands, folds, clips or amplifies noise.\nExample: tonematch lut inspect match/correction.cube") { files, json };
        command.SetAction(async (parsed, cancel) =>
        {
            List<object> all = [];
            foreach (string file in parsed.GetRequiredValue(files))
            {
                CorrectionFile correction = await LutFiles.ReadAsync(file, cancel);
                CubeFile? cube = correction.Cube;
                LutSafetyReport safety = LutSafety.Inspect(correction.ToLut());
                string[] steps = [.. correction.Clf?.Nodes.Select(n => n.GetType().Name["Clf".Length..]) ?? []];
                all.Add(new { File = file, cube?.Title, ShaperEntries = cube?.Shaper?.Size, NodesASide = cube?.Table?.Size, Steps = steps, Numbers = correction.Cdl, safety.IsSafe, Safety = safety.Findings });
                if (!parsed.GetValue(json))
                {
                    Show(terminal, correction, steps, safety);
                }
            }

            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(all));
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static void Show(Terminal terminal, CorrectionFile correction, string[] steps, LutSafetyReport safety)
    {
        terminal.Line(correction.Path);
        if (correction.Cube is { } cube)
        {
            terminal.Line($"  title   {cube.Title ?? "(none)"}");
            string[] tables =
            [
                .. cube.Shaper is { } s ? [string.Create(CultureInfo.InvariantCulture, $"1D with {s.Size} entries")] : Array.Empty<string>(),
                .. cube.Table is { } t ? [string.Create(CultureInfo.InvariantCulture, $"3D with {t.Size} nodes per side")] : Array.Empty<string>(),
            ];
            terminal.Line($"  tables  {string.Join(", then ", tables)}");
        }

        if (steps.Length > 0)
        {
            terminal.Line($"  steps   {string.Join(", ", steps)}");
        }

        if (correction.Cdl is { } n)
        {
            terminal.Line(string.Create(CultureInfo.InvariantCulture,
                $"  numbers slope {n.Slope.R:0.####} {n.Slope.G:0.####} {n.Slope.B:0.####}, offset {n.Offset.R:0.####} {n.Offset.G:0.####} {n.Offset.B:0.####}, power {n.Power.R:0.####} {n.Power.G:0.####} {n.Power.B:0.####}, saturation {n.Saturation:0.####}"));
        }

        foreach (LutFinding f in safety.Findings)
        {
            terminal.Line($"  {(f.IsWithin ? "fine" : "LOOK"),-7} {f.Sentence}");
        }
    }

    private static Command Compare(Terminal terminal)
    {
        Argument<string> first = new("first") { Description = $"{LutFiles.Endings}." };
        Argument<string> second = new("second") { Description = "Another." };
        Option<SignalEncoding?> encoding = Inputs.Encoding("--encoding", "The encoding of the output code values (default bt709)");
        Option<double?> tolerance = Inputs.Tolerance("The largest Delta E that counts as the same; exit code 5 when missed.");
        Option<bool> json = Inputs.Json();
        Command command = new("compare", "Shows how much the results of two corrections differ.\nExample: tonematch lut compare match/correction.cube match/correction.cdl") { first, second, encoding, tolerance, json };
        command.SetAction(async (parsed, cancel) =>
        {
            CorrectionFile a = await LutFiles.ReadAsync(parsed.GetRequiredValue(first), cancel), b = await LutFiles.ReadAsync(parsed.GetRequiredValue(second), cancel);
            LutDifference d = Difference(a, b.Apply, b.Cube?.Table?.Size, parsed.GetValue(encoding));
            terminal.Line(parsed.GetValue(json)
                ? MatchJson.Write(new { DeltaE = d.DeltaE, d.MeanCode, d.MaxCode, d.WorstInput }).TrimEnd()
                : Sentence(d));
            if (parsed.GetValue(tolerance) is { } limit && d.DeltaE.Max > limit)
            {
                terminal.Error(string.Create(CultureInfo.InvariantCulture, $"The largest Delta E is {d.DeltaE.Max:F3}, above the tolerance of {limit:0.###}."));
                return ExitCode.ToleranceMissed;
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static Command Convert(Terminal terminal)
    {
        Argument<string> input = new("file") { Description = $"{LutFiles.Endings}." };
        Option<string> output = Inputs.OutFile($"The file to write; its ending sets the format: {LutFiles.Endings}.");
        Option<int?> size = new("--lut-size")
        {
            Description = "Nodes per side of the table. The default is the file's own number, else 33 (64 in a Hald picture).",
            HelpName = "N",
            CustomParser = result => Inputs.ReadLutSize(result),
        };
        Option<bool> curves = new("--curves") { Description = "Writes three curves (a 1D table) instead of a 3D table: the correction's effect on greys. For .cube and .clf." };
        Option<SignalEncoding?> encoding = Inputs.Encoding("--encoding", "The encoding of the output code values, for the difference (default bt709)");
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force();
        Command command = new("convert", "Writes a correction in another open format and shows what accuracy is lost.\nExample: tonematch lut convert match/correction.cube --out correction.cdl") { input, output, size, curves, encoding, json, force };
        command.SetAction(async (parsed, cancel) =>
        {
            CorrectionFile from = await LutFiles.ReadAsync(parsed.GetRequiredValue(input), cancel);
            string path = parsed.GetRequiredValue(output);
            ConvertedCorrection done = LutConversion.Convert(
                from, path, parsed.GetValue(size), parsed.GetValue(curves), parsed.GetValue(encoding) ?? SignalEncoding.Bt709, parsed.GetValue(force), cancel);
            LutDifference d = done.Difference;
            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(new { File = Path.GetFullPath(path), DeltaE = d.DeltaE, d.MeanCode, d.MaxCode, done.Notes }));
                return ExitCode.Done;
            }

            terminal.Line($"{Path.GetFullPath(path)} was written and read back. Against the original over all colours: {Sentence(d)}");
            foreach (string note in done.Notes)
            {
                terminal.Line(note);
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static LutDifference Difference(CorrectionFile a, Func<CodeRgb, CodeRgb> b, int? size, SignalEncoding? encoding) =>
        LutComparison.Compare(a.Apply, b, encoding ?? SignalEncoding.Bt709, Math.Max(a.Cube?.Table?.Size ?? 17, size ?? 17));

    private static string Sentence(LutDifference d) => string.Create(CultureInfo.InvariantCulture,
        $"Delta E mean {d.DeltaE.Mean:F4}, largest {d.DeltaE.Max:F4} at input {d.WorstInput.R:F3} {d.WorstInput.G:F3} {d.WorstInput.B:F3}; code values differ by up to {d.MaxCode:F6}.");
}
