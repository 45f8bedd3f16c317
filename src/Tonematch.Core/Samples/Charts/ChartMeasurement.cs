using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Samples.Charts;

/// <summary>What a camera recorded of a chart in one picture.</summary>
/// <param name="Geometry">Where the chart is.</param>
/// <param name="Encoding">What the code values mean.</param>
/// <param name="Patches">All patches of the layout, in order; those that must not be used say why.</param>
public sealed record ChartMeasurement(ChartGeometry Geometry, SignalEncoding Encoding, ImmutableArray<PatchMeasurement> Patches)
{
    /// <summary>How many patches may be used.</summary>
    public int UsableCount => Patches.Count(p => p.Fault is null);
}
