using System.Collections.Immutable;
using Tonematch.Pictures;

namespace Tonematch.Samples.Charts;

/// <summary>Measures the patches of a chart at a known position.</summary>
public static class ChartSampler
{
    // A patch of one colour varies only by noise; a larger standard deviation (of code value 1) means the edge of a
    // shadow, a glint or something in front of it.
    private const double LargestSpread = 0.08;

    /// <summary>
    /// Measures every patch over the inner half of its area: a trimmed mean of code values, its spread, and the clipped
    /// share. Unusable patches are marked 'outside', 'clipped' or 'uneven'.
    /// </summary>
    public static ChartMeasurement Measure(Picture picture, ChartGeometry geometry)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentNullException.ThrowIfNull(geometry);
        ImmutableArray<PatchMeasurement>.Builder patches = ImmutableArray.CreateBuilder<PatchMeasurement>(geometry.Layout.Count);
        for (int i = 0; i < geometry.Layout.Count; i++)
        {
            patches.Add(Patch(picture, geometry, i));
        }

        return new ChartMeasurement(geometry, picture.Encoding, patches.MoveToImmutable());
    }

    private static PatchMeasurement Patch(Picture picture, ChartGeometry geometry, int index)
    {
        ImmutableArray<PicturePoint> quad = geometry.Patch(index);
        SamplePlace place = SamplePlace.Of(PictureBox.Around(quad.AsSpan()), picture);
        bool inside = quad.All(p => p.X >= 0 && p.Y >= 0 && p.X <= picture.Width && p.Y <= picture.Height);
        if (!inside || PolygonSampler.Measure(picture, quad.AsSpan()) is not ColourStatistics s)
        {
            return new PatchMeasurement(index, default, default, 0, 0, place) { Fault = PatchFault.Outside };
        }

        double spread = Math.Max(s.Spread.R, Math.Max(s.Spread.G, s.Spread.B));
        return new PatchMeasurement(index, s.Mean, s.Spread, s.PixelCount, s.ClippedShare, place)
        {
            Fault = s.IsClipped ? PatchFault.Clipped : spread > LargestSpread ? PatchFault.Uneven : null,
        };
    }
}
