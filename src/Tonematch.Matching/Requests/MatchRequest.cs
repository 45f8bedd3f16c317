using System.Collections.Immutable;
using Tonematch.Corrections;
using Tonematch.Media.Clips;
using Tonematch.Media.Reading;
using Tonematch.Samples;
using Tonematch.Samples.Charts;

namespace Tonematch.Matching.Requests;

/// <summary>A user's request to match one secondary. Everything except the two clips has a default.</summary>
/// <param name="Primary">The clip or still whose colours are right.</param>
/// <param name="Secondary">The clip or still to be matched.</param>
public sealed record MatchRequest(ClipRequest Primary, ClipRequest Secondary)
{
    /// <summary>A match of two files with all defaults.</summary>
    public MatchRequest(string primaryPath, string secondaryPath)
        : this(new ClipRequest(primaryPath), new ClipRequest(secondaryPath))
    {
    }

    /// <summary>t_secondary = t_primary + offset, in seconds; null to find it from the sound.</summary>
    public double? OffsetSeconds { get; init; }

    /// <summary>
    /// The same moment in both clips, each as the user wrote it (seconds, clock time or timecode of its clip); null if
    /// not given.
    /// </summary>
    public (string Primary, string Secondary)? SameMoment { get; init; }

    /// <summary>
    /// How much faster the secondary's clock counts than the primary's, parts per million; only with a given offset.
    /// </summary>
    public double DriftPpm { get; init; }

    /// <summary>Instants in the primary, as the user wrote them; empty to let the program choose.</summary>
    public ImmutableArray<string> At { get; init; } = [];

    /// <summary>Where corresponding colours come from; null for chart, else overlap, else overall.</summary>
    public SamplingMethod? Method { get; init; }

    /// <summary>The kind of correction; null for the advised one.</summary>
    public CorrectionKind? Model { get; init; }

    /// <summary>Nodes per side of the LUT, 2..129.</summary>
    public int LutSize { get; init; } = 33;

    /// <summary>The largest mean CIEDE2000 after correction that is good enough; null for no verdict.</summary>
    public double? Tolerance { get; init; }

    /// <summary>Regions marked by hand.</summary>
    public ImmutableArray<RegionPair> Regions { get; init; } = [];

    /// <summary>Changes to the samples found.</summary>
    public SampleEdits Edits { get; init; } = SampleEdits.None;

    /// <summary>Changes made by hand after the match, as part of the correction.</summary>
    public Trim Trim { get; init; } = Trim.None;

    /// <summary>The chart to look for.</summary>
    public ChartReference Chart { get; init; } = ChartReference.Chart24;

    /// <summary>How the clips are read: as files, with FFmpeg, by default.</summary>
    public ClipReader Reader { get; init; } = FfmpegClipReader.Instance;

    /// <summary>The same request with pixel positions converted to shares of the clips' pictures.</summary>
    /// <param name="primary">The primary clip.</param>
    /// <param name="secondary">The secondary clip.</param>
    public MatchRequest InShares(ClipInfo primary, ClipInfo secondary)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        return this with
        {
            Regions = [.. Regions.Select(r => r with
            {
                Primary = r.Primary.InShares(primary.Width, primary.Height),
                Secondary = r.Secondary.InShares(secondary.Width, secondary.Height),
            })],
            Primary = Primary with { ChartCorners = Primary.ChartCorners?.InShares(primary.Width, primary.Height) },
            Secondary = Secondary with { ChartCorners = Secondary.ChartCorners?.InShares(secondary.Width, secondary.Height) },
        };
    }
}
