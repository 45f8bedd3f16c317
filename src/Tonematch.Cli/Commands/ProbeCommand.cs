using System.CommandLine;
using System.Globalization;
using Tonematch.Exports;
using Tonematch.Media.Clips;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch probe: what a clip is, and what was assumed about it.</summary>
internal static class ProbeCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string[]> files = new("file") { Description = "Clips or still pictures.", Arity = ArgumentArity.OneOrMore };
        Option<bool> json = Inputs.Json();
        Command command = new("probe", "Shows a clip's size, rate, colour tags and sound, and what is assumed where tags are missing.\nExample: tonematch probe close.mp4")
        {
            files, json,
        };
        command.SetAction(async (parsed, cancel) =>
        {
            List<ClipInfo> clips = [];
            foreach (string file in parsed.GetRequiredValue(files))
            {
                clips.Add(await ClipProbe.ProbeAsync(file, cancel));
            }

            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(clips.Select(c => MatchJson.Clip(c))));
            }
            else
            {
                clips.ForEach(c => Show(terminal, c));
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static string Describe(AudioTrack a) => string.Create(CultureInfo.InvariantCulture,
        $"track {a.Index + 1}: {a.Codec}, {a.Channels} channel{(a.Channels == 1 ? "" : "s")}, {a.SampleRate} Hz{(a.Language is { } l ? $", {l}" : "")}{(a.Title is { } t ? $", '{t}'" : "")}");

    private static void Show(Terminal terminal, ClipInfo c)
    {
        CultureInfo i = CultureInfo.InvariantCulture;
        terminal.Line(c.Path);
        Row("picture", string.Create(i, $"{c.Width} x {c.Height}{(c.Orientation.ClockwiseDegrees() is var turn and not 0 ? $", turned by {turn} degrees" : "")}{(c.IsInterlaced ? ", interlaced" : "")}"));
        if (!c.IsStillImage)
        {
            Row("time", string.Create(i, $"{c.DurationSeconds:F3} s, {c.FrameRate.Value:0.###} frames per second{(c.IsVariableRate ? " (variable)" : "")}{(c.Timecode is { } t ? $", timecode {t}" : "")}"));
        }

        Row("stored as", string.Create(i, $"{c.Container}, {c.Codec}, {c.PixelFormat}, {c.BitDepth} bit, {c.Range.ToString().ToLowerInvariant()} range"));
        Row("colour", $"{c.Encoding.Title}; matrix {c.Matrix.Name}, primaries {c.Primaries?.Name ?? "not tagged"}, transfer {c.Transfer?.Name ?? "not tagged"}{(c.IccProfile is { } p ? $", profile {p}" : "")}");
        if (!c.IsStillImage)
        {
            Row("sound", c.AudioTracks.Length == 0 ? "none" : string.Join("; ", c.AudioTracks.Select(Describe)));
        }

        foreach (string assumption in c.Assumptions)
        {
            Row("assumed", assumption);
        }

        terminal.Line();

        void Row(string name, string text) => terminal.Line($"  {name,-10} {text}");
    }
}
