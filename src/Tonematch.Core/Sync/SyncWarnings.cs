using System.Collections.Immutable;

namespace Tonematch.Sync;

/// <summary>Warnings about a synchronisation result.</summary>
internal static class SyncWarnings
{
    public static ImmutableArray<string> For(double driftPpm, SyncEvidence evidence, SyncOptions options)
    {
        List<string> warnings = [];
        double gap = Math.Abs(driftPpm) * 1e-6 * evidence.OverlapSeconds;
        if (gap > options.FrameSeconds)
        {
            warnings.Add(FormattableString.Invariant(
                $"The clocks of the two cameras run apart: by {gap * 1000:0} ms over the {evidence.OverlapSeconds / 60:0.0} minutes they share ({Math.Abs(driftPpm):0.0} millionths), more than a frame. If you place it only once in your editor, camera B drifts out of sync towards the end: cut it in two and place both parts, or render it with --aligned."));
        }

        return [.. warnings];
    }
}
