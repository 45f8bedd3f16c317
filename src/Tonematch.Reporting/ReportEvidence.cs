using System.Collections.Immutable;
using Tonematch.Matching.Outcome;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;

namespace Tonematch.Reporting;

/// <summary>Gathers what the report shows beyond the match itself.</summary>
public static class ReportEvidence
{
    /// <summary>The command and the clips' fingerprints.</summary>
    /// <param name="outcome">What the match found.</param>
    /// <param name="command">The command as it was given, or null.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<ReportContext> GatherAsync(MatchOutcome outcome, string? command, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        return new ReportContext
        {
            Command = command,
            Facts = outcome.Clips is { } clips ? await FingerprintsAsync(clips, cancel) : [],
        };
    }

    private static async Task<ImmutableArray<(string, string)>> FingerprintsAsync(MatchedClips clips, CancellationToken cancel)
    {
        List<(string, string)> prints = [];
        foreach (ClipInfo clip in new[] { clips.Primary, clips.Secondary })
        {
            prints.Add((Path.GetFileName(clip.Path), await FileFingerprint.OfAsync(clip.Path, cancel)));
        }

        return [.. prints];
    }
}
