using Tonematch.Samples.Charts;

namespace Tonematch.Vision.Charts;

/// <summary>
/// The result of searching for a chart in a picture: <see cref="ChartFound"/> or <see cref="ChartNotFound"/>.
/// </summary>
public abstract record ChartSearch
{
    private protected ChartSearch()
    {
    }
}

/// <summary>A chart was found.</summary>
/// <param name="Chart">Its position and the measurements of its patches; hidden patches are marked.</param>
/// <param name="Match">How well it agrees with the known colours.</param>
/// <param name="Reference">The chart that was searched for.</param>
public sealed record ChartFound(ChartMeasurement Chart, ChartMatch Match, ChartReference Reference) : ChartSearch;

/// <summary>No chart was found.</summary>
/// <param name="Why">A sentence on what was seen instead and what to do.</param>
public sealed record ChartNotFound(string Why) : ChartSearch;
