using System.Collections.Immutable;
using Tonematch.Matching.Outcome;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Rendering;

namespace Tonematch.Reporting;

/// <summary>Gathers what the report shows beyond the match itself.</summary>
public static class ReportEvidence
{
    /// <summary>The command and the clips' fingerprints.</summary>
    /// <param name="outcome">The result of the match.</param>
    /// <param name="command">The command as it was given, or null.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<ReportContext> GatherAsync(MatchOutcome outcome, string? command, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        // In parallel: one waits for the encoder, the other for the disk.
        Task<ReadOnlyMemory<byte>> cutTest = CutTestAsync(outcome, cancel);
        Task<ImmutableArray<(string, string)>> facts = FingerprintsAsync(outcome.Clips, cancel);
        await Task.WhenAll(cutTest, facts);
        return new ReportContext { Command = command, CutTest = await cutTest, Facts = await facts };
    }

    // Small, because the page is sent around.
    private static async Task<ReadOnlyMemory<byte>> CutTestAsync(MatchOutcome outcome, CancellationToken cancel)
    {
        const int side = 640;
        const double seconds = 8;
        const long largest = 6_000_000;
        if (outcome.Clips is not { Sync: { } sync } clips || clips.Primary.BitDepth > 8 || clips.Primary.InputLut is not null)
        {
            // Browsers may not play the format in which clips of higher bit depth are written; and cuts show camera A
            // as it was recorded.
            return default;
        }

        try
        {
            using ScratchFolder folder = ScratchFolder.Create();
            string path = folder.PathOf("cut.mp4");
            double? start = clips.Performance is { } p ? Math.Max(0, p.Primary.Seconds - (seconds / 2)) : null;
            CutTestOptions options = new() { MaxSide = side, DurationSeconds = seconds, StartSeconds = start, Drift = outcome.Drift?.Track, ForPage = true };
            RenderResult written;
            try
            {
                written = await CutTest.RenderAsync(clips.Primary, clips.Secondary, outcome.Lut, sync, path, options, null, cancel);
            }
            catch (UnusableInputException) when (start is not null)
            {
                // Too near the end of the overlap: use its middle.
                written = await CutTest.RenderAsync(clips.Primary, clips.Secondary, outcome.Lut, sync, path, options with { StartSeconds = null }, null, cancel);
            }

            return written.Clip.Codec == "h264" && new FileInfo(path).Length <= largest ? await File.ReadAllBytesAsync(path, cancel) : default;
        }
        catch (UnusableInputException)
        {
            // The overlap is too short for cuts; the page shows its pictures only.
            return default;
        }
    }

    private static async Task<ImmutableArray<(string, string)>> FingerprintsAsync(MatchedClips? clips, CancellationToken cancel)
    {
        if (clips is null)
        {
            return [];
        }

        List<(string, string)> prints = [];
        foreach (ClipInfo clip in new[] { clips.Primary, clips.Secondary })
        {
            foreach (string path in clip.InputLut is { Path: var input } ? [clip.Path, input] : (string[])[clip.Path])
            {
                prints.Add((Path.GetFileName(path), await FileFingerprint.OfAsync(path, cancel)));
            }
        }

        return [.. prints];
    }
}
