using System.Globalization;
using Tonematch.Colour;
using Tonematch.Matching.Requests;
using Tonematch.Media.Clips;
using Tonematch.Media.Reading;
using Tonematch.Sync;

namespace Tonematch.Matching.Outcome;

/// <summary>Two clips and their alignment in time.</summary>
/// <param name="Primary">The primary clip.</param>
/// <param name="Secondary">The secondary clip.</param>
/// <param name="Sync">How the clips are aligned in time; null for still pictures.</param>
public record SyncedClips(ClipInfo Primary, ClipInfo Secondary, SyncFound? Sync)
{
    /// <summary>What the primary's code values mean: as the user said, otherwise by its tags.</summary>
    public SignalEncoding PrimaryEncoding { get; init; } = Primary.Encoding;

    /// <summary>What the secondary's code values mean: as the user said, otherwise by its tags.</summary>
    public SignalEncoding SecondaryEncoding { get; init; } = Secondary.Encoding;

    /// <summary>How the clips are read.</summary>
    public ClipReader Reader { get; init; } = FfmpegClipReader.Instance;

    /// <summary>The clips of a request.</summary>
    public static SyncedClips Of(ClipInfo primary, ClipInfo secondary, SyncFound? sync, MatchRequest request)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(request);
        return new SyncedClips(primary, secondary, sync)
        {
            PrimaryEncoding = request.Primary.Encoding ?? primary.Encoding,
            SecondaryEncoding = request.Secondary.Encoding ?? secondary.Encoding,
            Reader = request.Reader,
        };
    }

    /// <summary>The part of the primary's time that both clips show, seconds; 0 to 0 for still pictures.</summary>
    /// <exception cref="NoTrustworthyResultException">The clips do not overlap.</exception>
    public (double From, double To) Overlap()
    {
        if (Sync is not { } sync)
        {
            return (0, 0);
        }

        double from = Math.Max(0, sync.PrimaryTime(0));
        double to = Math.Min(LastFrame(Primary), sync.PrimaryTime(LastFrame(Secondary)));
        return to - from >= 0.1 ? (from, to) : throw new NoTrustworthyResultException(string.Create(CultureInfo.InvariantCulture,
            $"With an offset of {sync.OffsetSeconds:0.###} s the two clips do not overlap in time, so nothing can be compared. Check --offset, and that both are of the same event."));
    }

    /// <summary>
    /// The time at which to ask the secondary for the frame nearest to an instant of the primary: half a frame later,
    /// because a grab returns the frame on screen at that time, not the next one.
    /// </summary>
    /// <param name="primarySeconds">In the primary's time.</param>
    /// <returns>In the secondary's time, within the clip; 0 for still pictures.</returns>
    public double NearestFrameAt(double primarySeconds)
    {
        double half = Secondary.FrameRate.Value > 0 ? 0.5 / Secondary.FrameRate.Value : 0;
        return Sync is { } sync ? Math.Clamp(sync.SecondaryTime(primarySeconds) + half, 0, Math.Max(0, LastFrame(Secondary))) : 0;
    }

    private static double LastFrame(ClipInfo clip) => clip.DurationSeconds - (clip.FrameRate.Value > 0 ? 1 / clip.FrameRate.Value : 0);
}
