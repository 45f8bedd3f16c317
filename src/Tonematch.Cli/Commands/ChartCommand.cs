using System.CommandLine;
using System.Globalization;
using Tonematch.Exports;
using Tonematch.Matching.Stages;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;
using Tonematch.Sync;
using Tonematch.Vision;
using Tonematch.Vision.Charts;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch chart: the known charts.</summary>
internal static class ChartCommand
{
    public static Command Create(Terminal terminal) => new("chart", "Lists, finds and prints colour charts.\nExample: tonematch chart list")
    {
        List(terminal),
        Find(terminal),
        Print(terminal),
    };

    private static Command Find(Terminal terminal)
    {
        Argument<string> file = new("file") { Description = "A clip or a still picture." };
        Option<string?> at = new("--at") { Description = "The instant of the clip: seconds, HH:MM:SS.mmm or timecode. Without it the whole clip is searched.", HelpName = "TIME" };
        Option<string> name = new("--chart") { Description = "The chart to look for.", HelpName = "NAME", DefaultValueFactory = _ => ChartReference.Chart24.Name };
        Option<bool> json = Inputs.Json();
        Command command = new("find", "Looks for a chart in a clip or a picture, says where it is and measures it.\nExample: tonematch chart find wide.mp4") { file, at, name, json };
        command.SetAction(async (parsed, cancel) =>
        {
            ChartReference reference = Named(parsed.GetRequiredValue(name));
            ClipInfo clip = await ClipProbe.ProbeAsync(parsed.GetRequiredValue(file), cancel);
            if (NativeVision.Fault is { } fault)
            {
                throw new UnusableInputException(fault);
            }

            ChartScan scan = parsed.GetValue(at) is { } time
                ? await AtAsync(clip, reference, time, cancel)
                : await terminal.WithProgressAsync(progress => ChartScan.FindAsync(clip, reference, new Forwarded(share => progress.Report(new("Searching the clip", share))), cancel))
                    ?? throw new NoTrustworthyResultException($"No {reference.Title} was found in {clip.Path}: it was searched from beginning to end. {HowToFilm}");
            ChartFound found = scan.Found;
            string corners = string.Join(',', found.Chart.Geometry.Corners.Select(c => string.Create(CultureInfo.InvariantCulture, $"{c.X:F1},{c.Y:F1}")));
            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(new
                {
                    Chart = reference.Name,
                    scan.Seconds,
                    scan.FromSeconds,
                    scan.ToSeconds,
                    found.Chart.Geometry.Corners,
                    found.Match.ExplainedShare,
                    Encoding = found.Chart.Encoding.Name,
                    Patches = found.Chart.Patches.Select(p => new { reference.Patches[p.Index].Name, p.Colour, p.Spread, Fault = p.Fault?.ToString().ToLowerInvariant() }),
                }));
                return ExitCode.Done;
            }

            terminal.Line(clip.IsStillImage
                ? $"{reference.Title}, corners {corners}"
                : string.Create(CultureInfo.InvariantCulture, $"{reference.Title}, seen {scan.When}; measured at {scan.Seconds:0.00} s, corners {corners}"));
            foreach (PatchMeasurement p in found.Chart.Patches)
            {
                terminal.Line(string.Create(CultureInfo.InvariantCulture,
                    $"  {p.Index + 1,2} {reference.Patches[p.Index].Name,-16} {p.Colour.R:F3} {p.Colour.G:F3} {p.Colour.B:F3}{(p.Fault is { } why ? $"  left out: {why.ToString().ToLowerInvariant()}" : "")}"));
            }

            return ExitCode.Done;
        });
        return command;
    }

    private const string HowToFilm = "Film the whole chart facing the camera, at least 80 pixels wide, evenly lit.";

    private static async Task<ChartScan> AtAsync(ClipInfo clip, ChartReference reference, string time, CancellationToken cancel)
    {
        if (!ClockTime.TryParse(time, clip.IsVariableRate ? null : clip.FrameRate.Value, out double seconds, out string? error))
        {
            throw new WrongUseException(error);
        }

        Picture picture = (await FrameReader.GrabAsync(clip, [seconds], cancel))[0].Picture;
        return await Task.Run(() => ChartFinder.Find(picture, reference, cancel), cancel) is ChartFound found
            ? new ChartScan(seconds, seconds, seconds, found)
            : throw new NoTrustworthyResultException(string.Create(CultureInfo.InvariantCulture,
                $"No {reference.Title} was found in {clip.Path} at {seconds:0.00} s. Without --at the whole clip is searched. {HowToFilm}"));
    }

    private static Command Print(Terminal terminal)
    {
        Option<string> output = Inputs.OutFile("The page: .pdf (to scale) or .png (300 dots per inch).");
        Option<string> name = new("--chart") { Description = "The chart to print; print24 is the project's own.", HelpName = "NAME", DefaultValueFactory = _ => "print24" };
        Option<bool> force = Inputs.Force();
        Command command = new("print", "Writes a chart to print, A4 landscape.\nExample: tonematch chart print --out chart.pdf") { output, name, force };
        command.SetAction(parsed =>
        {
            ChartReference reference = Named(parsed.GetRequiredValue(name));
            string path = parsed.GetRequiredValue(output);
            switch (Path.GetExtension(path).ToLowerInvariant())
            {
                case ".pdf":
                    AtomicFile.Write(path, parsed.GetValue(force), stream => stream.Write(PrintableChart.ToPdf(reference)));
                    break;
                case ".png":
                    PngFile.Write(path, PrintableChart.ToPicture(reference, 300), 8, parsed.GetValue(force));
                    break;
                default:
                    throw new WrongUseException($"{path} has an ending that cannot be written; .pdf and .png can.");
            }

            terminal.Line(Path.GetFullPath(path));
            terminal.Warning(PrintableChart.Warning);
            return ExitCode.Done;
        });
        return command;
    }

    private static ChartReference Named(string name) => ChartReference.Find(name)
        ?? throw new WrongUseException($"--chart: there is no chart '{name}'. Known: {string.Join(", ", ChartReference.All.Select(c => c.Name))}.");

    private static Command List(Terminal terminal)
    {
        Option<bool> json = Inputs.Json();
        Command command = new("list", "Names the charts whose colours are known.\nExample: tonematch chart list --json") { json };
        command.SetAction(parsed =>
        {
            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(ChartReference.All.Select(c => new { c.Name, c.Title, c.Layout.Columns, c.Layout.Rows, c.Illuminant, c.Observer, c.Source, c.Note })));
                return ExitCode.Done;
            }

            foreach (ChartReference c in ChartReference.All)
            {
                terminal.Line(string.Create(CultureInfo.InvariantCulture, $"{c.Name,-20} {c.Title}, {c.Layout.Columns} x {c.Layout.Rows}, {c.Illuminant}"));
            }

            return ExitCode.Done;
        });
        return command;
    }
}
