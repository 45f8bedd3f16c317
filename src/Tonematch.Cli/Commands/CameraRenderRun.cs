using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Exports.Rendering;
using Tonematch.Formats.Timelines;
using Tonematch.Matching.Shoot;
using Tonematch.Media.Files;
using Tonematch.Media.Rendering;

namespace Tonematch.Cli.Commands;

/// <summary>The render command for whole cameras and for jobs in a file.</summary>
internal static class CameraRenderRun
{
    private const long LargestTimelineBytes = 100_000_000;

    public static async Task<int> RunAsync(
        Terminal terminal, string place, string folder, string? correction, string? drift, string? timelinePath, bool aligned, string? soundFrom, string? plan, RenderOptions options, CancellationToken cancel)
    {
        Timeline? timeline = null;
        if (timelinePath is not null)
        {
            using StringReader text = new(TextInput.Read(timelinePath, "a timeline", LargestTimelineBytes));
            timeline = OtioFormat.Read(text, timelinePath);
        }

        if (Directory.Exists(place) && FileIdentity.AreSame(Path.TrimEndingDirectorySeparator(place), Path.TrimEndingDirectorySeparator(folder)))
        {
            throw new UnusableInputException($"'{folder}' is the camera's own folder: its results would be taken for clips of the camera next time. Name another with --out.");
        }

        // A folder, a clip, or a camera of the timeline.
        string[] files = timeline?.Tracks.FirstOrDefault(t => t.Name == place) is { } track && !Directory.Exists(place) && !File.Exists(place)
            ? [.. track.Clips.Select(c => Path.GetFullPath(Path.Combine(Path.GetDirectoryName(Path.GetFullPath(timelinePath!))!, c.Url)))]
            : [.. CameraFiles.Read([place], [])[0].Files];
        ShootProbe.Result probed = await terminal.WithProgressAsync(progress => ShootProbe.RunAsync([new CameraFiles(place, [.. files])], progress, cancel));
        foreach (string note in probed.Notes)
        {
            terminal.Warning(note);
        }

        bool isOneFile = File.Exists(place) && !Directory.Exists(folder) && Path.GetExtension(folder).ToUpperInvariant() is ".MP4" or ".MOV" or ".MKV";
        (ImmutableArray<RenderJob> jobs, ImmutableArray<string> notes) = await RenderPlan.MakeAsync(
            probed.Cameras[0].Clips, isOneFile ? Path.GetDirectoryName(Path.GetFullPath(folder))! : folder, correction, drift, timeline, timelinePath, aligned, soundFrom, options.Codec, cancel);
        foreach (string note in notes)
        {
            terminal.Warning(note);
        }

        jobs = isOneFile ? [jobs[0] with { Out = Path.GetFullPath(folder) }] : jobs;
        if (plan is not null)
        {
            RenderPlan.Write(plan, jobs, options.Force);
            double minutes = jobs.Sum(j => j.ExpectedSeconds) / 60;
            terminal.Line(string.Create(CultureInfo.InvariantCulture, $"{jobs.Length} job{(jobs.Length == 1 ? "" : "s")} in {Path.GetFullPath(plan)}, about {Math.Max(1, minutes):0} minute{(minutes >= 1.5 ? "s" : "")} of work for two idle cores. To run one: tonematch render --job N \"{plan}\", N {(jobs.Length == 1 ? "being 0" : $"from 0 to {jobs.Length - 1}")}."));
            return ExitCode.Done;
        }

        // Failures are named; the rest continues, and finished clips are kept.
        List<string> failed = [];
        foreach (RenderJob job in jobs)
        {
            try
            {
                await DoAsync(terminal, job, options, cancel);
            }
            catch (UnusableInputException e)
            {
                failed.Add(Path.GetFileName(job.Clip));
                terminal.Error(e.Message);
            }
        }

        if (failed.Count > 0)
        {
            terminal.Error(string.Create(CultureInfo.InvariantCulture, $"{failed.Count} of {jobs.Length} clips {(failed.Count == 1 ? "was" : "were")} not rendered: {string.Join(", ", failed)}.{(failed.Count < jobs.Length ? " The others are complete. Once the cause is mended, the same command renders the rest." : "")}"));
            return ExitCode.UnusableInput;
        }

        return ExitCode.Done;
    }

    public static async Task<int> JobAsync(Terminal terminal, string file, int number, RenderOptions options, CancellationToken cancel)
    {
        ImmutableArray<RenderJob> jobs = RenderPlan.Read(file);
        if (number < 0 || number >= jobs.Length)
        {
            throw new WrongUseException(string.Create(CultureInfo.InvariantCulture, $"'{file}' holds the jobs 0 to {jobs.Length - 1}; there is no job {number}."));
        }

        await DoAsync(terminal, jobs[number], options, cancel);
        return ExitCode.Done;
    }

    private static async Task DoAsync(Terminal terminal, RenderJob job, RenderOptions options, CancellationToken cancel)
    {
        RenderResult? result = await terminal.WithProgressAsync(progress => RenderRunner.RunAsync(job, options, new RenderForwarder(progress), cancel));
        terminal.Line(result is null ? $"{job.Out}: done before" : string.Create(CultureInfo.InvariantCulture, $"{job.Out}: {result.Clip.DurationSeconds:F2} s"));
        foreach (string note in result?.Notes ?? [])
        {
            terminal.Warning($"{Path.GetFileName(job.Clip)}: {note}");
        }
    }
}
