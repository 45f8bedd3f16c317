using System.CommandLine;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Exports;
using Tonematch.Exports.Corrections;
using Tonematch.Exports.Rendering;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Rendering;
using Tonematch.Sync;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch render: the corrected clip.</summary>
internal static class RenderCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string> clip = new("clip") { Description = "The clip to correct, or a folder: all clips of a camera. With --job the file of jobs." };
        Option<string?> file = new("--correction") { Description = $"{LutFiles.Endings}. Without it the timeline's correction is used.", HelpName = "FILE" };
        Option<string?> output = new("--out") { Description = "The corrected clip (.mp4, .mov or .mkv); for a folder, or with --aligned or --plan, a folder.", HelpName = "FILE|DIR" };
        Option<string?> drift = new("--drift") { Description = "The clip's changes of exposure and white balance (drift.csv), removed frame by frame before the correction.", HelpName = "FILE" };
        Option<string?> timeline = new("--timeline") { Description = "The timeline.otio that match or sync wrote: places, corrections and drift files of the clips.", HelpName = "FILE" };
        Option<bool> aligned = new("--aligned") { Description = "Each result begins and ends with the timeline, at the first camera's rate; black and silent where the camera was off." };
        Option<string?> soundFrom = new("--sound-from") { Description = "With --aligned: the sound of this clip or camera of the timeline as the first track, the clip's own sound as the second.", HelpName = "CLIP|CAMERA" };
        Option<string?> plan = new("--plan") { Description = "Renders nothing: writes the jobs, one per clip, into this file.", HelpName = "FILE" };
        Option<double?> job = Inputs.Number("--job", "N", "Runs this job (counted from 0) of a file written by --plan; a finished job is not repeated.", v => v is >= 0 and <= int.MaxValue && v == Math.Floor(v), "a whole number from 0 on");
        Option<RenderCodec> codec = new("--codec")
        {
            Description = "h264 (8 bit, plays everywhere), h265 (8 or 10 bit), prores (10 bit, large, for further work). The default is h264 for 8-bit clips, h265 for higher bit depths.",
            HelpName = "NAME",
            CustomParser = result => result.Tokens[0].Value switch
            {
                "h264" => RenderCodec.H264,
                "h265" => RenderCodec.H265,
                "prores" => RenderCodec.ProRes,
                _ => Inputs.Refuse<RenderCodec>(result, "one of h264, h265, prores"),
            },
        };
        Option<double?> quality = Inputs.Number("--quality", "N", "0 (largest file) to 40; default 16 (h264) or 18 (h265).", v => v is >= 0 and <= 40 && v == Math.Floor(v), "a whole number from 0 to 40");
        Option<bool> sideBySide = new("--side-by-side") { Description = "Shows the recorded clip on the left, the corrected one on the right." };
        Option<string?> cutTest = new("--cut-test") { Description = "Instead of the whole clip, a short one that cuts between this clip of camera A and the corrected one every 2 s, to see the match where it counts.", HelpName = "CLIP" };
        Option<OrAuto<double>> offset = Inputs.Offset();
        Option<(string Primary, string Secondary)?> sameMoment = Inputs.SameMoment();
        Option<SignalEncoding?> encoding = Inputs.Encoding("--encoding", "The encoding of the corrected code values: camera A's");
        Option<bool> json = Inputs.Json();
        Option<bool> force = Inputs.Force();
        Command command = new("render", "Writes the corrected clip: sound, metadata, rotation and frame times are kept.\nExample: tonematch render close.mp4 --correction match/correction.cube --out close-matched.mp4")
        {
            clip, file, output, drift, timeline, aligned, soundFrom, plan, job, codec, quality, sideBySide, cutTest, offset, sameMoment, encoding, json, force,
        };
        command.SetAction(async (parsed, cancel) =>
        {
            RenderOptions asked = new()
            {
                Codec = parsed.GetValue(codec),
                Quality = (int?)parsed.GetValue(quality),
                OutputEncoding = parsed.GetValue(encoding),
                SideBySide = parsed.GetValue(sideBySide),
                Drift = parsed.GetValue(drift) is { } course ? RenderRunner.ReadDrift(course) : null,
                Force = parsed.GetValue(force),
            };
            string given = parsed.GetRequiredValue(clip);
            if (parsed.GetValue(job) is { } number)
            {
                return await CameraRenderRun.JobAsync(terminal, given, (int)number, asked, cancel);
            }

            string path = parsed.GetValue(output) ?? throw new WrongUseException("render needs --out: the corrected clip, or a folder for several.");
            if (Directory.Exists(given) || parsed.GetValue(aligned) || parsed.GetValue(plan) is not null || parsed.GetValue(timeline) is not null)
            {
                return await CameraRenderRun.RunAsync(
                    terminal, given, path, parsed.GetValue(file), parsed.GetValue(drift), parsed.GetValue(timeline), parsed.GetValue(aligned), parsed.GetValue(soundFrom), parsed.GetValue(plan), asked, cancel);
            }

            string correction = parsed.GetValue(file) ?? throw new WrongUseException("render needs --correction: the file that match wrote.");
            string[] inputs = [given, correction, .. parsed.GetValue(cutTest) is { } a ? [a] : (string[])[]];
            AtomicFile.Check(path, parsed.GetValue(force), inputs);
            Lut3D lut = (await LutFiles.ReadAsync(correction, cancel)).ToLut(65);
            ClipInfo info = await ClipProbe.ProbeAsync(parsed.GetRequiredValue(clip), cancel);
            RenderResult result;
            if (parsed.GetValue(cutTest) is { } primaryPath)
            {
                MatchRequest request = new(primaryPath, info.Path) { OffsetSeconds = parsed.GetValue(offset).Chosen, SameMoment = parsed.GetValue(sameMoment) };
                ClipInfo primary = await ClipProbe.ProbeAsync(primaryPath, cancel);
                result = await terminal.WithProgressAsync(async progress =>
                {
                    progress.Report(new("Listening to both recordings", 0));
                    SyncFound found = (await SyncStage.RunAsync(primary, info, request, wantsMoment: false, cancel)).Found;
                    return await CutTest.RenderAsync(primary, info, lut, found, path, new CutTestOptions { Drift = asked.Drift, Force = asked.Force }, new RenderForwarder(progress), cancel);
                });
            }
            else
            {
                result = await terminal.WithProgressAsync(progress => ClipRenderer.RenderAsync(info, lut, path, asked, new RenderForwarder(progress), cancel));
            }

            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(new { Clip = MatchJson.Clip(result.Clip), result.Notes }));
            }
            else
            {
                terminal.Line(string.Create(CultureInfo.InvariantCulture, $"{Path.GetFullPath(path)}: {result.Clip.Width} x {result.Clip.Height}, {result.Clip.DurationSeconds:F2} s, {result.Clip.Codec} {result.Clip.BitDepth} bit"));
            }

            foreach (string note in result.Notes)
            {
                terminal.Warning(note);
            }

            return ExitCode.Done;
        });
        return command;
    }
}
