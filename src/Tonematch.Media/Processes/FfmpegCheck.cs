using System.Collections.Frozen;

namespace Tonematch.Media.Processes;

/// <summary>Checks whether the FFmpeg on this machine has all required features.</summary>
public static class FfmpegCheck
{
    private static readonly string[] s_readingFilters = ["aformat", "aresample", "concat", "format", "scale", "select", "showinfo"];

    private static readonly string[] s_writingFilters =
        ["asetpts", "atrim", "crop", "fps", "hstack", "interleave", "lut3d", "pad", "setparams", "setpts", "setsar", "sidedata", "split", "trim", "zscale"];

    // The last two write clips of high bit depth and ProRes.
    private static readonly string[] s_encoders = ["aac", "libx264", "libx265", "prores_ks"];

    /// <summary>Queries both programs.</summary>
    /// <param name="cancel">Cancels the work and the processes.</param>
    public static async Task<FfmpegFindings> RunAsync(CancellationToken cancel = default)
    {
        string? ffmpeg = null, ffprobe = null;
        try
        {
            ffmpeg = FfmpegTools.Ffmpeg;
            ffprobe = FfmpegTools.Ffprobe;
            FfmpegCapabilities can = await FfmpegCapabilities.ReadAsync(cancel).ConfigureAwait(false);
            (_, string encoders, _) = await FfmpegProcess.RunAsync(ffmpeg, ["-encoders"], cancel, maxCharacters: 1_000_000).ConfigureAwait(false);
            (int code, _, _) = await FfmpegProcess.RunAsync(ffprobe, ["-version"], cancel, maxCharacters: 1_000_000).ConfigureAwait(false);
            return Judge(can, FfmpegCapabilities.NamesIn(encoders, _ => true)) with
            {
                FfmpegPath = ffmpeg,
                FfprobePath = ffprobe,
                Fault = code == 0 ? null : $"{ffprobe} does not run (it ended with {code}). Install FFmpeg again.",
            };
        }
        catch (UnusableInputException e)
        {
            return new FfmpegFindings { FfmpegPath = ffmpeg, FfprobePath = ffprobe, Fault = e.Message };
        }
    }

    /// <summary>Finds which required features are missing.</summary>
    internal static FfmpegFindings Judge(FfmpegCapabilities can, FrozenSet<string> encoders) => new()
    {
        Version = can.Version,
        IsTooOld = can.IsBefore(4, 4),
        MissingForReading = [.. s_readingFilters.Where(f => !can.Filters.Contains(f))],
        MissingForWriting = [.. s_writingFilters.Where(f => !can.Filters.Contains(f)), .. s_encoders.Where(e => !encoders.Contains(e))],
    };
}
