using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Vision.Overlap;

/// <summary>A flat patch seen by both cameras.</summary>
/// <param name="Primary">What the primary recorded.</param>
/// <param name="Secondary">What the secondary recorded.</param>
/// <param name="PrimaryBox">Where in the primary.</param>
/// <param name="SecondaryBox">Where in the secondary.</param>
/// <param name="Correlation">Agreement of the structure around it, up to 1.</param>
internal sealed record OverlapPatch(
    ColourStatistics Primary, ColourStatistics Secondary, PictureBox PrimaryBox, PictureBox SecondaryBox, double Correlation);
