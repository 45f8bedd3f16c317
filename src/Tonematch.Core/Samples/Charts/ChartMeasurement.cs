using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Samples.Charts;

/// <summary>A camera's recording of a chart in one picture.</summary>
/// <param name="Geometry">The position of the chart.</param>
/// <param name="Encoding">What the code values mean.</param>
/// <param name="Patches">All patches of the layout, in order; unusable ones state why.</param>
public sealed record ChartMeasurement(ChartGeometry Geometry, SignalEncoding Encoding, ImmutableArray<PatchMeasurement> Patches)
{
    /// <summary>The number of usable patches.</summary>
    public int UsableCount => Patches.Count(p => p.Fault is null);
}
