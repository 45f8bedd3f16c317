using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Vision.Overlap;

/// <summary>A flat patch seen by both cameras.</summary>
/// <param name="Primary">Its measurement in the primary.</param>
/// <param name="Secondary">Its measurement in the secondary.</param>
/// <param name="PrimaryBox">Its place in the primary.</param>
/// <param name="SecondaryBox">Its place in the secondary.</param>
/// <param name="Correlation">Correlation of the surrounding structure, up to 1.</param>
internal sealed record OverlapPatch(
    ColourStatistics Primary, ColourStatistics Secondary, PictureBox PrimaryBox, PictureBox SecondaryBox, double Correlation);
