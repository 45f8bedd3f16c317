using System.Collections.Immutable;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Tonematch.Exports.Corrections;
using Tonematch.Formats;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Rendering;

namespace Tonematch.Exports.Rendering;

/// <summary>
/// Runs render jobs. A job that was killed can be run again; a finished one whose inputs are unchanged is not run
/// twice.
/// </summary>
public static class RenderRunner
{
    private const long LargestTrackBytes = 200_000_000;

    /// <summary>Runs one job.</summary>
    /// <param name="job">The job.</param>
    /// <param name="options">Codec, quality and output encoding; the drift comes from the job.</param>
    /// <param name="progress">Receives the share done.</param>
    /// <param name="cancel">Stops the work; no partial file remains.</param>
    /// <returns>The result; null if the job was done already.</returns>
    /// <exception cref="UnusableInputException">An input cannot be used, or the result cannot be written.</exception>
    public static async Task<RenderResult?> RunAsync(RenderJob job, RenderOptions options, IProgress<RenderProgress>? progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(options);
        string mark = MarkOf(job, options);
        DoneMarker? before = DoneMarker.Read(job.DoneMarker);
        if (before is { Mark: { } finished, OutLength: var length } && finished == mark && new FileInfo(job.Out) is { Exists: true } there && there.Length == length)
        {
            return null;
        }

        // Its own earlier result may be replaced; no other file unless the user wants that.
        if (before is not null && before.Clip != job.Clip && File.Exists(job.Out) && !options.Force)
        {
            throw new UnusableInputException($"'{job.Out}' is the result of another clip, '{before.Clip}'. Render each camera into a folder of its own, or add --force to replace it.");
        }

        options = options with { Force = options.Force || before is not null };
        Directory.CreateDirectory(Path.GetDirectoryName(job.Out)!);
        AtomicFile.Check(job.Out, options.Force, job.Clip);

        Lut3D lut = job.Correction is { } correction ? (await LutFiles.ReadAsync(correction, cancel)).ToLut(65) : Lut3D.Identity(2);
        ImmutableArray<RenderState> parts = job.States.IsDefault ? [] : job.States;
        TimedLut[] states = await Task.WhenAll(parts.Select(async s => new TimedLut(s.FromSeconds, (await LutFiles.ReadAsync(s.Correction, cancel)).ToLut(65))));
        RenderOptions own = options with { States = [.. states], Drift = job.Drift is { } track ? ReadDrift(track) : options.Drift };
        ClipInfo clip = await ClipProbe.ProbeAsync(job.Clip, cancel);
        new DoneMarker(job.Clip, null, 0).Write(job.DoneMarker);
        try
        {
            RenderResult result = await RenderAsync(job, clip, lut, own, progress, cancel);
            new DoneMarker(job.Clip, mark, new FileInfo(job.Out).Length).Write(job.DoneMarker);
            return result;
        }
        catch
        {
            // A job that was stopped leaves nothing behind, except its own earlier result, which is then not done.
            if (!File.Exists(job.Out))
            {
                File.Delete(job.DoneMarker);
            }

            throw;
        }
    }

    private static async Task<RenderResult> RenderAsync(RenderJob job, ClipInfo clip, Lut3D lut, RenderOptions options, IProgress<RenderProgress>? progress, CancellationToken cancel) =>
        job.Aligned is { } place
            ? await AlignedRenderer.RenderAsync(
                lut, job.Out,
                new AlignedOptions(new AlignedPlace(clip, place.StartSeconds, place.RatePpm), Rational.Parse(job.FrameRate) ?? throw new UnusableInputException($"The job for '{job.Clip}' names no frame rate."), job.Frames)
                {
                    SoundFrom = [.. await Task.WhenAll(job.SoundFrom.Select(async s => new AlignedPlace(await ClipProbe.ProbeClipOrSoundAsync(s.Clip, cancel), s.StartSeconds, s.RatePpm)))],
                },
                options, progress, cancel)
            : await ClipRenderer.RenderAsync(clip, lut, job.Out, options, progress, cancel);

    /// <summary>Reads a drift of exposure and white balance from a file.</summary>
    /// <exception cref="UnusableInputException">It cannot be read.</exception>
    public static Drift.DriftTrack ReadDrift(string path)
    {
        using StringReader text = new(TextInput.Read(path, "changes of exposure and white balance", LargestTrackBytes));
        return DriftCsv.Read(text, path);
    }

    // Everything the result depends on: the job itself, the clip's size and date, the contents of the other files.
    private static string MarkOf(RenderJob job, RenderOptions options)
    {
        FileInfo clip = new(job.Clip);
        StringBuilder all = new();
        all.Append(CultureInfo.InvariantCulture, $"{job.Clip}|{(clip.Exists ? clip.Length : 0)}|{(clip.Exists ? clip.LastWriteTimeUtc.Ticks : 0)}|{(job.Correction is null ? "" : Contents(job.Correction))}|{(job.Drift is null ? "" : Contents(job.Drift))}|");
        all.Append(CultureInfo.InvariantCulture, $"{job.Aligned}|{job.FrameRate}|{job.Frames}|{string.Join(';', job.SoundFrom)}|{(job.States.IsDefault ? "" : string.Join(';', job.States.Select(s => $"{s} {Contents(s.Correction)}")))}|{options.Codec}|{options.Quality}|{options.OutputEncoding?.Name}|{options.SideBySide}");
        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(all.ToString())));
    }

    private static string Contents(string path) => File.Exists(path) ? Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(path))) : "";
}
