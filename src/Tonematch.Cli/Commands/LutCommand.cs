using System.CommandLine;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Formats;
using Tonematch.Luts;
using Tonematch.Matching;

namespace Tonematch.Cli.Commands;

/// <summary>tonematch lut: looks into LUT files, compares and converts them.</summary>
internal static class LutCommand
{
    public static Command Create(Terminal terminal) => new("lut", "Looks into LUT files, compares and converts them.\nExample: tonematch lut inspect match/correction.cube")
    {
        Inspect(terminal),
        Compare(terminal),
        Convert(terminal),
    };

    private static Command Inspect(Terminal terminal)
    {
        Argument<string[]> files = new("file") { Description = ".cube files.", Arity = ArgumentArity.OneOrMore };
        Option<bool> json = Inputs.Json();
        Command command = new("inspect", "Says what a LUT is and whether it bands, folds, clips or amplifies noise.\nExample: tonematch lut inspect match/correction.cube") { files, json };
        command.SetAction(parsed =>
        {
            List<object> all = [];
            foreach (string file in parsed.GetRequiredValue(files))
            {
                CubeFile cube = LutFiles.ReadCube(file);
                LutSafetyReport? safety = cube.Table is { } table ? LutSafety.Inspect(table) : null;
                all.Add(new { File = file, cube.Title, ShaperEntries = cube.Shaper?.Size, NodesASide = cube.Table?.Size, IsSafe = safety?.IsSafe, Safety = safety?.Findings });
                if (!parsed.GetValue(json))
                {
                    terminal.Line(file);
                    terminal.Line($"  title   {cube.Title ?? "(none)"}");
                    terminal.Line(string.Create(CultureInfo.InvariantCulture, $"  tables  {(cube.Shaper is { } s ? $"1D with {s.Size} entries " : "")}{(cube.Table is { } t ? $"3D with {t.Size} nodes a side" : "")}"));
                    foreach (LutFinding f in safety?.Findings ?? [])
                    {
                        terminal.Line($"  {(f.IsWithin ? "good" : "BAD "),-7} {f.Sentence}");
                    }
                }
            }

            if (parsed.GetValue(json))
            {
                terminal.Line(MatchJson.Write(all).TrimEnd());
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static Command Compare(Terminal terminal)
    {
        Argument<string> first = new("first") { Description = "A .cube, .clf or CDL file." };
        Argument<string> second = new("second") { Description = "Another." };
        Option<SignalEncoding?> encoding = Inputs.Encoding("--encoding", "What the code values that come out mean (bt709 when not said)");
        Option<double?> tolerance = Inputs.Tolerance("The largest Delta E that counts as the same; exit code 5 when missed.");
        Option<bool> json = Inputs.Json();
        Command command = new("compare", "Says how far apart the results of two corrections are.\nExample: tonematch lut compare match/correction.cube match/correction.cdl") { first, second, encoding, tolerance, json };
        command.SetAction(parsed =>
        {
            CorrectionFile a = LutFiles.Read(parsed.GetRequiredValue(first)), b = LutFiles.Read(parsed.GetRequiredValue(second));
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
        Argument<string> input = new("file") { Description = "A .cube, .clf or CDL file." };
        Option<string> output = Inputs.OutFile("The file to write; its ending says the format: .cube, .clf, or .png (a Hald picture).");
        Option<int> size = Inputs.LutSize();
        Option<SignalEncoding?> encoding = Inputs.Encoding("--encoding", "What the code values that come out mean, for the difference (bt709 when not said)");
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force();
        Command command = new("convert", "Writes a correction in another open format and says what that costs.\nExample: tonematch lut convert match/correction.cube --out correction.clf") { input, output, size, encoding, json, force };
        command.SetAction(parsed =>
        {
            CorrectionFile from = LutFiles.Read(parsed.GetRequiredValue(input));
            string path = parsed.GetRequiredValue(output);
            LutDifference d = LutFiles.Convert(
                from, path, parsed.GetValue(size), parsed.GetValue(encoding) ?? SignalEncoding.Bt709, parsed.GetValue(force));
            terminal.Line(parsed.GetValue(json)
                ? MatchJson.Write(new { File = Path.GetFullPath(path), DeltaE = d.DeltaE, d.MeanCode, d.MaxCode }).TrimEnd()
                : $"{Path.GetFullPath(path)} was written and read back. Against the original: {Sentence(d)}");
            return ExitCode.Done;
        });
        return command;
    }

    private static LutDifference Difference(CorrectionFile a, Func<CodeRgb, CodeRgb> b, int? size, SignalEncoding? encoding) =>
        LutComparison.Compare(a.Apply, b, encoding ?? SignalEncoding.Bt709, Math.Max(a.Cube?.Table?.Size ?? 17, size ?? 17));

    private static string Sentence(LutDifference d) => string.Create(CultureInfo.InvariantCulture,
        $"Delta E mean {d.DeltaE.Mean:F4}, largest {d.DeltaE.Max:F4} at input {d.WorstInput.R:F3} {d.WorstInput.G:F3} {d.WorstInput.B:F3}; code values differ by up to {d.MaxCode:F6}.");
}
