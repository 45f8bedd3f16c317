using System.Collections.Immutable;
using System.Diagnostics;
using System.Globalization;
using System.Text;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Processes;

namespace Tonematch.Media.Rendering;

/// <summary>Runs one ffmpeg that writes a clip, with progress, cancellation and atomic results.</summary>
internal static class RenderRun
{
    /// <summary>The LUT's name inside the private folder ffmpeg runs in: it needs no escaping.</summary>
    public const string LutFilter = "lut3d=file=l.cube:interp=tetrahedral";

    /// <summary>
    /// The filters of a clip whose correction changes: one per correction, switched by the frames' own times.
    /// </summary>
    /// <param name="states">In time order; empty for the single LUT.</param>
    /// <param name="lead">The filter's time at the clip's own time 0, seconds.</param>
    public static string LutFilters(ImmutableArray<TimedLut> states, double lead)
    {
        string Turn(int k) => (k == 0, k == states.Length - 1) switch
        {
            (true, true) => "1",
            (true, false) => string.Create(CultureInfo.InvariantCulture, $"lt(t,{lead + states[k + 1].FromSeconds:0.######})"),
            (false, true) => string.Create(CultureInfo.InvariantCulture, $"gte(t,{lead + states[k].FromSeconds:0.######})"),
            _ => string.Create(CultureInfo.InvariantCulture, $"gte(t,{lead + states[k].FromSeconds:0.######})*lt(t,{lead + states[k + 1].FromSeconds:0.######})"),
        };
        return states.IsEmpty ? LutFilter : string.Join(',', states.Select((_, k) => $"lut3d=file={NameOf(k)}:interp=tetrahedral:enable='{Turn(k)}'"));
    }

    private static string NameOf(int state) => string.Create(CultureInfo.InvariantCulture, $"l{state}.cube");

    public static async Task<ClipInfo> RunAsync(
        string output, bool force, IReadOnlyCollection<string> inputs, Lut3D? lut, OutputFormat format, IEnumerable<string> arguments,
        double durationSeconds, IProgress<RenderProgress>? progress, CancellationToken cancel, DriftFeed? drift = null, ImmutableArray<TimedLut> states = default)
    {
        ClipInfo written;
        using PendingFile pending = PendingFile.Begin(output, force, inputs);
        using (ScratchFolder folder = ScratchFolder.Create())
        {
            if (lut is not null)
            {
                WriteLut(folder.PathOf("l.cube"), lut);
            }

            for (int k = 0; k < (states.IsDefault ? 0 : states.Length); k++)
            {
                WriteLut(folder.PathOf(NameOf(k)), states[k].Lut);
            }

            await EncodeAsync(
                output, [.. arguments, "-progress", "pipe:1", "-stats_period", "0.5", "-f", format.Muxer, "file:" + pending.TemporaryPath],
                folder.FullPath, durationSeconds, progress, drift, cancel).ConfigureAwait(false);
            // A file that cannot be read back does not count as written.
            written = await ClipProbe.ProbeAsync(pending.TemporaryPath, cancel).ConfigureAwait(false);
            WrittenTags.Require(written, WrittenTags.Of(format), output);
            if (format.Mastering is { } figures && await MasteringFigures.ReadAsync(written, cancel).ConfigureAwait(false) != figures)
            {
                throw new UnusableInputException(
                    $"'{output}' was not kept: this FFmpeg ({written.Ffmpeg.Version}) did not write the clip's HDR metadata (mastering display, content light) correctly. Please report it.");
            }

            pending.Commit();
        }

        progress?.Report(new RenderProgress(1, TimeSpan.Zero));
        MediaInput file = MediaInput.Open(output);
        return written with { Path = file.FullPath, Input = file };
    }

    private static void WriteLut(string path, Lut3D lut)
    {
        try
        {
            using StreamWriter cube = new(path, append: false, new UTF8Encoding(false));
            CubeFormat.Write(cube, lut, "Tonematch");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw FileFault.Explain(path, e);
        }
    }

    private static async Task EncodeAsync(
        string output, IEnumerable<string> arguments, string folder, double durationSeconds, IProgress<RenderProgress>? progress,
        DriftFeed? drift, CancellationToken cancel)
    {
        await using FfmpegProcess ffmpeg = FfmpegProcess.Start(
            FfmpegTools.Ffmpeg, ["-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+error", .. arguments],
            withInput: drift is not null, workingFolder: folder, cancel: cancel);
        Task fed = drift is null ? Task.CompletedTask : Task.Run(() => drift.WriteAsync(ffmpeg.Input, cancel), CancellationToken.None);
        long started = Stopwatch.GetTimestamp();
        await foreach (string line in ffmpeg.ReadLinesAsync().ConfigureAwait(false))
        {
            // FFmpeg's 'out_time_us' is microseconds of the result.
            if (progress is not null && line.StartsWith("out_time_us=", StringComparison.Ordinal)
                && long.TryParse(line.AsSpan(12), NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out long microseconds) && microseconds > 0)
            {
                double fraction = Math.Min(0.999, microseconds / 1e6 / durationSeconds);
                TimeSpan spent = Stopwatch.GetElapsedTime(started);
                progress.Report(new RenderProgress(fraction, fraction > 0.01 ? spent * ((1 - fraction) / fraction) : null));
            }
        }

        int code = await ffmpeg.WaitAsync().ConfigureAwait(false);
        await fed.ConfigureAwait(false);
        if (code != 0 || ffmpeg.ErrorText.Contains("No space left", StringComparison.Ordinal))
        {
            throw new UnusableInputException(FfmpegMessage.WhyNotWritten(output, ffmpeg.ErrorText));
        }
    }
}
