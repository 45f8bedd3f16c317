using System.Collections.Immutable;

namespace Tonematch.Sync;

/// <summary>What to say about a result that was found.</summary>
internal static class SyncWarnings
{
    public static ImmutableArray<string> For(double driftPpm, SyncEvidence evidence, SyncOptions options)
    {
        List<string> warnings = [];
        double gap = Math.Abs(driftPpm) * 1e-6 * evidence.OverlapSeconds;
        if (gap > options.FrameSeconds)
        {
            warnings.Add(FormattableString.Invariant(
                $"The clocks of the two recorders differ by {driftPpm:0.0} ppm: {gap * 1000:0} ms over the {evidence.OverlapSeconds / 60:0.0} minutes they share, more than a frame. One offset does not hold for the whole recording."));
        }

        return [.. warnings];
    }
}
