using Tonematch.Samples.Charts;

namespace Tonematch.Vision.Charts;

/// <summary>What looking for a chart in a picture gave: <see cref="ChartFound"/> or <see cref="ChartNotFound"/>.</summary>
public abstract record ChartSearch
{
    private protected ChartSearch()
    {
    }
}

/// <summary>A chart was found.</summary>
/// <param name="Chart">Where it is and what its patches measure; hidden patches are marked.</param>
/// <param name="Match">How well it agrees with the known colours.</param>
/// <param name="Reference">The chart that was looked for.</param>
public sealed record ChartFound(ChartMeasurement Chart, ChartMatch Match, ChartReference Reference) : ChartSearch;

/// <summary>No chart was found.</summary>
/// <param name="Why">A sentence: what was seen instead, and what to do.</param>
public sealed record ChartNotFound(string Why) : ChartSearch;
