using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Matching.Requests;
using Tonematch.Samples;
using Tonematch.Samples.Charts;

namespace Tonematch.Workbench.Session;

/// <summary>Everything a person decided at the workbench: with it the command line comes to the same result.</summary>
public sealed record WorkbenchSession
{
    /// <summary>The file's name in the folder of results.</summary>
    public const string FileName = "workbench.json";

    /// <summary>The clip of camera A, as a path; null while none is chosen.</summary>
    public string? Primary { get; init; }

    /// <summary>The clips to be matched.</summary>
    public ImmutableArray<SessionMatch> Secondaries { get; init; } = [];

    /// <summary>Nodes per side of the LUT, 2..129.</summary>
    public int LutSize { get; init; } = 33;

    /// <summary>The job for one secondary.</summary>
    /// <param name="match">One of <see cref="Secondaries"/>.</param>
    /// <exception cref="UnusableInputException">No clip of camera A is chosen, or the chart is not known.</exception>
    public MatchRequest RequestOf(SessionMatch match)
    {
        ArgumentNullException.ThrowIfNull(match);

        // With regions alone, the marked regions are the only samples, not additions to those found.
        bool regionsAlone = match.Method == SamplingMethod.Regions;
        string primary = Primary ?? throw new UnusableInputException("The session names no clip for camera A. Choose one at the workbench first.");
        return new MatchRequest(
            new ClipRequest(primary) { ChartCorners = match.PrimaryChart is { } a ? new RegionShape(a) : null },
            new ClipRequest(match.Clip) { ChartCorners = match.SecondaryChart is { } b ? new RegionShape(b) : null })
        {
            OffsetSeconds = match.OffsetSeconds,
            DriftPpm = match.DriftPpm,
            Method = match.Method,
            Chart = match.Chart is not { } name ? ChartReference.Chart24
                : ChartReference.Find(name) ?? throw new UnusableInputException($"The session names a chart '{name}' that is not known. See: tonematch chart list"),
            At = regionsAlone ? [.. match.Edits.Marked.Select(r => r.AtSeconds).OfType<double>().Distinct().Order().Select(t => t.ToString("0.######", CultureInfo.InvariantCulture))] : match.At,
            Regions = regionsAlone ? match.Edits.Marked : [],
            Edits = regionsAlone ? match.Edits with { Marked = [] } : match.Edits,
            Model = match.Model,
            Trim = match.Trim,
            LutSize = LutSize,
        };
    }
}
