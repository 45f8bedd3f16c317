using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using Tonematch.Formats.Timelines;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Rendering;

namespace Tonematch.Exports.Rendering;

/// <summary>The jobs for rendering whole cameras, and jobs.json, the file that holds them.</summary>
public static class RenderPlan
{
    private const long LargestBytes = 50_000_000;

    // Four months, and the frames of that at a thousand per second: far beyond any event.
    private const double MostSeconds = 1e7;
    private const long MostFrames = 10_000_000_000;

    // Pixels that two cores of 2026 render per second; for a rough estimate only.
    private const double PixelsASecond = 60e6;

    private static readonly JsonSerializerOptions s_json = new()
    {
        WriteIndented = true,
        PropertyNamingPolicy = JsonNamingPolicy.SnakeCaseLower,
        PropertyNameCaseInsensitive = true,
    };

    private sealed record Plan(int Version, ImmutableArray<RenderJob> Jobs);

    /// <summary>Makes one job per clip.</summary>
    /// <param name="clips">The clips, probed.</param>
    /// <param name="folder">The folder for the results.</param>
    /// <param name="correction">The correction for all clips; null to take it from the timeline.</param>
    /// <param name="drift">The drift for all clips; null to take it from the timeline.</param>
    /// <param name="timeline">The timeline written by a match, or null.</param>
    /// <param name="timelinePath">Its path; null without one.</param>
    /// <param name="aligned">Whether each result begins and ends with the timeline.</param>
    /// <param name="soundFrom">A clip or camera of the timeline whose sound becomes the first track, or null.</param>
    /// <param name="codec">The codec asked for, which may need a file type of its own.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <returns>The jobs, and remarks on the clips that have none.</returns>
    /// <exception cref="UnusableInputException">No clip has a correction, or one that is to be aligned has no place on the timeline.</exception>
    public static async Task<(ImmutableArray<RenderJob> Jobs, ImmutableArray<string> Notes)> MakeAsync(
        IReadOnlyList<ClipInfo> clips, string folder, string? correction, string? drift, Timeline? timeline, string? timelinePath, bool aligned, string? soundFrom, RenderCodec codec, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(clips);
        if (soundFrom is not null && !aligned)
        {
            throw new UnusableInputException("--sound-from lays another recording's sound beside the clip's own, in its place in time: add --aligned.");
        }

        if (timeline is null && aligned)
        {
            throw new UnusableInputException("--aligned needs the clips' places in time: give --timeline with the timeline.otio that match or sync wrote.");
        }

        string root = timelinePath is null ? "" : Path.GetDirectoryName(Path.GetFullPath(timelinePath))!;
        (TimelineTrack Track, TimelineClip Clip, string Path)[] placed = [.. (timeline?.Tracks ?? []).SelectMany(t => t.Clips.Select(c => (t, c, Path.GetFullPath(Path.Combine(root, c.Url)))))];
        if (aligned && placed.Length == 0)
        {
            throw new UnusableInputException($"The timeline '{timelinePath}' holds no clips.");
        }

        Rational rate = aligned ? await RateAsync(placed[0].Path, cancel) : default;
        long frames = aligned ? (long)Math.Ceiling((placed.Max(p => p.Clip.EndSeconds) * rate.Value) - 0.01) : 0;
        (TimelineTrack Track, TimelineClip Clip, string Path)[] heard = soundFrom is null ? [] : Named(placed, soundFrom);
        ImmutableArray<RenderPlace> sound = [.. heard.Select(p => new RenderPlace(p.Path, p.Clip.StartSeconds, p.Clip.RatePpm))];
        HashSet<string> names = new(StringComparer.OrdinalIgnoreCase);
        List<RenderJob> jobs = [];
        List<string> notes = [];
        foreach (ClipInfo clip in clips)
        {
            (TimelineTrack Track, TimelineClip Clip, string Path)? place = placed.Where(p => p.Path == clip.Path).Select(p => ((TimelineTrack, TimelineClip, string)?)p).FirstOrDefault();
            bool isOfFirst = place is { } at && at.Track == placed[0].Track;
            string? cube = correction ?? (place?.Clip.Correction is { } c ? Path.Combine(root, c) : null);
            string? without = aligned && place is null ? $"'{clip.Path}' has no place on the timeline '{timelinePath}'. Render it by itself, without --aligned."
                : cube is null && !isOfFirst ? $"No correction is known for '{clip.Path}'. Give it with --correction, or a --timeline that names one."
                : cube is null && !aligned ? $"'{clip.Path}' is of the first camera, whose colours are right. --aligned renders it at its place in time."
                : null;
            if (without is not null)
            {
                notes.Add(without);
                continue;
            }

            if (heard.Length > 0 && place is { Clip: var own } && !heard.Any(h => h.Clip.StartSeconds < own.EndSeconds && h.Clip.EndSeconds > own.StartSeconds))
            {
                notes.Add($"'{soundFrom}' was off while '{Path.GetFileName(clip.Path)}' was recorded: the first sound track is silent there.");
            }

            string? course = drift ?? (place?.Clip.DriftTrack is { } d ? Path.Combine(root, d) : null);
            string ending = codec == RenderCodec.ProRes ? ".mov" : Path.GetExtension(clip.Path).ToUpperInvariant() is ".MOV" or ".MP4" or ".MKV" ? Path.GetExtension(clip.Path).ToLowerInvariant() : ".mov";
            string name = Path.GetFileNameWithoutExtension(clip.Path), unique = name;
            for (int k = 2; !names.Add(unique); k++)
            {
                unique = string.Create(CultureInfo.InvariantCulture, $"{name}-{k}");
            }

            double length = aligned ? frames / rate.Value : clip.DurationSeconds;
            jobs.Add(new RenderJob(clip.Path, cube is null ? null : Path.GetFullPath(cube), Path.GetFullPath(Path.Combine(folder, unique + "-matched" + ending)))
            {
                Drift = course is null ? null : Path.GetFullPath(course),
                States = correction is null && place is { } known ? [.. known.Clip.States.Select(s => new RenderState(s.FromSeconds, Path.GetFullPath(Path.Combine(root, s.Correction))))] : [],
                Aligned = aligned ? new RenderPlace(clip.Path, place!.Value.Clip.StartSeconds, place.Value.Clip.RatePpm) : null,
                FrameRate = aligned ? rate.ToString() : null,
                Frames = frames,
                SoundFrom = sound,
                ExpectedSeconds = Math.Round(1 + (length * (aligned ? rate : clip.FrameRate).Value * clip.Width * clip.Height / PixelsASecond)),
            });
        }

        return jobs.Count > 0 ? ([.. jobs], [.. notes]) : throw new UnusableInputException(notes.Count > 0 ? string.Join(' ', notes) : "There is no clip to render.");
    }

    /// <summary>
    /// Writes jobs.json. Refuses if results exist already, although a job may replace its own result.
    /// </summary>
    /// <exception cref="UnusableInputException">The file or a result exists already, or it cannot be written.</exception>
    public static void Write(string path, ImmutableArray<RenderJob> jobs, bool force)
    {
        string full = Path.GetFullPath(path);
        if (!force && jobs.FirstOrDefault(j => File.Exists(j.Out) && DoneMarker.Read(j.DoneMarker)?.Clip != j.Clip) is { } there)
        {
            throw new UnusableInputException($"'{there.Out}' is there already, and not from the same clip. Name another folder with --out, or add --force to replace it.");
        }

        RenderJob[] numbered = [.. jobs.Select((j, i) => j with { Command = string.Create(CultureInfo.InvariantCulture, $"tonematch render --job {i} \"{full}\"") })];
        AtomicFile.WriteText(path, force, w => w.Write(JsonSerializer.Serialize(new Plan(1, [.. numbered]), s_json) + "\n"));
    }

    /// <summary>Reads jobs.json.</summary>
    /// <exception cref="UnusableInputException">The file does not hold render jobs.</exception>
    public static ImmutableArray<RenderJob> Read(string path) => Parse(TextInput.Read(path, "render jobs", LargestBytes), path);

    /// <summary>Reads the jobs from a text.</summary>
    /// <exception cref="UnusableInputException">The text is not a list of jobs, or one of them is invalid.</exception>
    internal static ImmutableArray<RenderJob> Parse(string text, string path)
    {
        try
        {
            if (JsonSerializer.Deserialize<Plan>(text, s_json) is not { Version: 1, Jobs.IsDefaultOrEmpty: false } plan)
            {
                throw new UnusableInputException($"'{path}' holds no render jobs. render --plan writes such a file.");
            }

            for (int i = 0; i < plan.Jobs.Length; i++)
            {
                if (WhyNoJob(plan.Jobs[i]) is { } why)
                {
                    throw new UnusableInputException(string.Create(CultureInfo.InvariantCulture, $"'{path}', job {i}: {why}. render --plan writes such a file."));
                }
            }

            return plan.Jobs;
        }
        catch (JsonException e)
        {
            // The library's own message may quote the rest of the file.
            throw new UnusableInputException($"'{path}' holds no readable render jobs: line {(e.LineNumber ?? 0) + 1} differs from what render --plan writes.", e);
        }
        catch (Exception e) when (e is InvalidOperationException or ArgumentException)
        {
            throw new UnusableInputException($"'{path}' holds no readable render jobs: it contains bytes that are not text.", e);
        }
    }

    // Faults that manual editing or a damaged disk may have caused in a job.
    private static string? WhyNoJob(RenderJob? job)
    {
        static bool IsFile(string? name) => name is { Length: > 0 } && !name.Contains('\0', StringComparison.Ordinal) && Path.IsPathFullyQualified(name) && Path.GetFileName(name).Length > 0;
        static bool IsPlace(RenderPlace? place) => place is null || (IsFile(place.Clip) && Math.Abs(place.StartSeconds) <= MostSeconds && Math.Abs(place.RatePpm) < 1e6);
        return job is null ? "it is empty"
            : !IsFile(job.Clip) || (job.Correction is { } lut && !IsFile(lut)) || !IsFile(job.Out) || (job.Drift is { } drift && !IsFile(drift)) ? "clip, correction, drift and out must be absolute file paths"
            : !IsPlace(job.Aligned) || job.SoundFrom.IsDefault || !job.SoundFrom.All(IsPlace) || job.Frames is < 0 or > MostFrames ? "it has a time outside any clip"
            : job.Aligned is not null && !(Rational.Parse(job.FrameRate) is { Value: > 0 and <= 1000 }) ? "its frame_rate is not a frame rate"
            : null;
    }

    private static async Task<Rational> RateAsync(string path, CancellationToken cancel) => (await ClipProbe.ProbeAsync(path, cancel)).FrameRate;

    private static (TimelineTrack Track, TimelineClip Clip, string Path)[] Named((TimelineTrack Track, TimelineClip Clip, string Path)[] placed, string name)
    {
        (TimelineTrack Track, TimelineClip Clip, string Path)[] found = [.. placed.Where(p => p.Track.Name == name || p.Clip.Name == name || p.Path == Path.GetFullPath(name)
            || Path.GetDirectoryName(p.Path) == Path.TrimEndingDirectorySeparator(Path.GetFullPath(name)))];
        return found.Length > 0 ? found : throw new UnusableInputException($"The timeline has no clip or camera '{name}'. It has {string.Join(", ", placed.Select(p => p.Track.Name).Distinct())}.");
    }
}
