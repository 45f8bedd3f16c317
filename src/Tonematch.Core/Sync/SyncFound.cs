using System.Collections.Immutable;

namespace Tonematch.Sync;

/// <summary>
/// The alignment of the secondary to the primary: t_secondary = t_primary + OffsetSeconds + DriftPpm * 1e-6 *
/// t_primary, both on the clips' presentation time lines.
/// </summary>
/// <param name="OffsetSeconds">The offset at primary time 0, seconds.</param>
/// <param name="DriftPpm">How much faster the secondary's clock counts than the primary's, parts per million; 0 if the overlap is too short to distinguish it from 0.</param>
/// <param name="Confidence">Probability that the offset is right, 0..1.</param>
/// <param name="Method">The evidence used.</param>
/// <param name="Evidence">The figures behind it.</param>
public sealed record SyncFound(
    double OffsetSeconds, double DriftPpm, double Confidence, SyncMethod Method, SyncEvidence Evidence) : SyncResult
{
    /// <summary>What the user should know, in sentences (drift beyond a frame, unknown sound travel).</summary>
    public ImmutableArray<string> Warnings { get; init; } = [];

    /// <summary>The secondary's time that shows the same moment, seconds.</summary>
    public double SecondaryTime(double primarySeconds) =>
        primarySeconds + OffsetSeconds + (DriftPpm * 1e-6 * primarySeconds);

    /// <summary>The primary's time that shows the same moment, seconds.</summary>
    public double PrimaryTime(double secondarySeconds) => (secondarySeconds - OffsetSeconds) / (1 + (DriftPpm * 1e-6));

    /// <summary>An offset given by the user: used as it is, with confidence 1.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The offset or the drift is not finite.</exception>
    public static SyncFound Given(double offsetSeconds, double driftPpm = 0)
    {
        if (!double.IsFinite(offsetSeconds))
        {
            throw new ArgumentOutOfRangeException(nameof(offsetSeconds), offsetSeconds, "The offset must be a finite number of seconds.");
        }

        if (!double.IsFinite(driftPpm))
        {
            throw new ArgumentOutOfRangeException(nameof(driftPpm), driftPpm, "The drift must be a finite number.");
        }

        return new SyncFound(offsetSeconds, driftPpm, 1, SyncMethod.Given, new SyncEvidence());
    }
}
