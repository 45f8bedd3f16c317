using OpenCvSharp;
using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;

namespace Tonematch.Vision.Charts;

/// <summary>
/// Finds a chart anywhere in a picture, turned and in perspective: finds flat islands of colour, fits grids to them by
/// homography, and determines position and orientation from the known colours.
/// </summary>
public static class ChartFinder
{
    // Longer sides, in pixels, of the picture to search: large charts first, because that is quick.
    private static readonly double[] s_sides = [480, 900, 1800, 3600];

    // Further enlargement would reveal nothing more.
    private const double LargestEnlargement = 2;

    // A match this good ends the search.
    private const double SureShare = 0.93;
    private const double SureCount = 0.9;

    // If most patches are clipped, uneven or shaded, so that the colours cannot be judged after a correction, the plain
    // agreement must be closer.
    private const double UnjudgedShare = 0.93;

    // Colours at the patch centres are noisier than patch means.
    private const double WorthMeasuring = 0.75;

    // With fewer agreeing patches an accidental grid may pass.
    private const double FewestAgreeing = 0.7;

    /// <summary>
    /// Searches for the chart; hidden or shaded patches are marked in the result. Works down to a width of about 80
    /// pixels for a 24-patch chart.
    /// </summary>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static ChartSearch Find(Picture picture, ChartReference reference, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentNullException.ThrowIfNull(reference);
        if (NativeVision.Fault is string fault)
        {
            return new ChartNotFound(fault);
        }

        using Mat whole = PictureMat.ToBgr8(picture);
        double longer = Math.Max(picture.Width, picture.Height), last = 0;
        ChartFound? best = null;
        foreach (double side in s_sides)
        {
            double scale = Math.Min(side / longer, LargestEnlargement);
            scale = scale is > 0.75 and < 1.3 ? 1 : scale;
            if (scale < 1.2 * last)
            {
                continue;
            }

            last = scale;
            using Mat level = new();
            Cv2.Resize(whole, level, new Size(Math.Round(picture.Width * scale), Math.Round(picture.Height * scale)), 0, 0, scale < 1 ? InterpolationFlags.Area : InterpolationFlags.Cubic);
            if (FindAt(picture, level, scale, reference, cancel) is ChartFound found && Goodness(found) > Goodness(best))
            {
                best = found;
            }

            if (best is not null && best.Match.ExplainedShare >= SureShare && best.Match.AgreeingCount >= SureCount * reference.Layout.Count)
            {
                break;
            }
        }

        return best ?? (ChartSearch)new ChartNotFound(
            $"No {reference.Title} was found. Film the whole chart facing the camera, at least 80 pixels wide, evenly lit, or give its corners.");
    }

    private static ChartMatch Compare(ChartMeasurement measured, ChartReference reference, bool[] hasIsland)
    {
        ChartMatch all = ChartRecognition.Compare(measured, reference), islandsOnly = ChartRecognition.Compare(measured, reference, hasIsland);
        return islandsOnly.ExplainedShare * islandsOnly.AgreeingCount > all.ExplainedShare * all.AgreeingCount ? islandsOnly : all;
    }

    // The centre of each patch only: measuring large areas takes long, and most candidate grids are not charts.
    private static ChartMeasurement Glance(LevelColours colours, ChartGeometry geometry) => new(geometry, SignalEncoding.Srgb, [
        .. Enumerable.Range(0, geometry.Layout.Count).Select(i =>
        {
            PicturePoint centre = geometry.GridToPicture.Map((i % geometry.Layout.Columns) + 0.5, (i / geometry.Layout.Columns) + 0.5);
            return colours.At(centre) is CodeRgb c
                ? new PatchMeasurement(i, c, default, 9, 0, default)
                : new PatchMeasurement(i, default, default, 0, 0, default) { Fault = PatchFault.Outside };
        })]);

    private static double Goodness(ChartFound? found) =>
        found is null ? 0 : found.Match.ExplainedShare * found.Match.AgreeingCount;

    private static ChartFound? FindAt(Picture picture, Mat level, double scale, ChartReference reference, CancellationToken cancel)
    {
        List<FlatIsland> islands = FlatIslands.Find(level, scale);
        using LevelColours colours = new(level);
        ChartPlacement placement = new(reference);
        ChartFound? best = null;
        int longest = Math.Max(reference.Layout.Columns, reference.Layout.Rows);
        foreach (PatchLattice lattice in PatchLattice.FindAll(islands, longest, cancel))
        {
            foreach ((Homography gridToLevel, bool[] hasIsland) in placement.Best(lattice, colours))
            {
                ChartGeometry onLevel = new(reference.Layout, gridToLevel);
                if (Compare(Glance(colours, onLevel), reference, hasIsland).ExplainedShare < WorthMeasuring)
                {
                    continue;
                }

                ChartMeasurement measured = ChartSampler.Measure(picture, onLevel.Scaled(1 / scale));
                ChartMatch match = Compare(measured, reference, hasIsland);
                int uneven = measured.Patches.Count(p => p.Fault is PatchFault.Uneven or PatchFault.Outside && !match.OutOfLine.Contains(p.Index));
                if (match.IsThisKind && (match.CanBeJudged || match.ExplainedShare >= UnjudgedShare) && match.AgreeingCount >= FewestAgreeing * reference.Layout.Count && uneven <= reference.Layout.Count / 3)
                {
                    ChartFound found = new(ChartRecognition.WithoutHidden(measured, match), match, reference);
                    best = Goodness(found) > Goodness(best) ? found : best;
                }
            }
        }

        return best;
    }
}
