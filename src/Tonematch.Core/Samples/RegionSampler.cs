using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>Measures regions marked by hand.</summary>
public static class RegionSampler
{
    /// <summary>A region with more than this share of its pixels clipped is left out.</summary>
    public const double LargestClippedShare = ColourStatistics.LargestClippedShare;

    /// <summary>A region of fewer pixels than this is left out, because noise would decide its colour.</summary>
    public const int FewestPixels = 16;

    // Largest standard deviation; above it the region holds more than one colour.
    private const double LargestSpread = 0.12;

    // A region given for one instant is used with the frame on screen then: one frame at 20 frames per second.
    private const double SameInstantSeconds = 0.05;

    /// <summary>
    /// Measures every region in one pair of frames: a trimmed mean with its spread. Left out and counted: 'clipped'
    /// (more than 5 % of the pixels in either picture), 'too small' (fewer than 16 pixels), 'outside' (no part of it is
    /// in the picture). A region given for another instant is skipped.
    /// </summary>
    /// <param name="primary">The primary's frame.</param>
    /// <param name="secondary">The secondary's frame.</param>
    /// <param name="regions">The marked regions.</param>
    /// <param name="primarySeconds">Presentation time of the primary's frame.</param>
    /// <param name="secondarySeconds">Presentation time of the secondary's frame.</param>
    public static SampleSet Sample(
        Picture primary, Picture secondary, IReadOnlyList<RegionPair> regions, double primarySeconds = 0, double secondarySeconds = 0)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(regions);
        ImmutableArray<SamplePair>.Builder pairs = ImmutableArray.CreateBuilder<SamplePair>();
        SortedDictionary<string, int> rejected = [];
        List<string> warnings = [];
        foreach (RegionPair region in regions)
        {
            if (region.AtSeconds is double at && Math.Abs(at - primarySeconds) > SameInstantSeconds)
            {
                continue;
            }

            PicturePoint[] p = region.Primary.In(primary.Width, primary.Height);
            PicturePoint[] s = region.Secondary.In(secondary.Width, secondary.Height);
            ColourStatistics? mp = PolygonSampler.Measure(primary, p), ms = PolygonSampler.Measure(secondary, s);
            string? why = mp is null || ms is null ? "outside"
                : mp.Value.PixelCount < FewestPixels || ms.Value.PixelCount < FewestPixels ? "too small"
                : mp.Value.IsClipped || ms.Value.IsClipped ? "clipped" : null;
            if (why is not null)
            {
                rejected[why] = rejected.GetValueOrDefault(why) + 1;
                warnings.Add(Sentence(region.Name, why));
                continue;
            }

            ColourStatistics a = mp!.Value, b = ms!.Value;
            if (Largest(a) > LargestSpread || Largest(b) > LargestSpread)
            {
                warnings.Add($"The region '{region.Name}' holds more than one colour; mark a smaller, plain part of it.");
            }

            string id = string.Create(CultureInfo.InvariantCulture, $"{region.Name}@{primarySeconds:0.000}");
            pairs.Add(new SamplePair(id, region.Name, a.Mean, b.Mean)
            {
                Label = region.Name,
                PrimarySpread = a.Spread,
                SecondarySpread = b.Spread,
                Origin = new SampleOrigin(
                    primarySeconds, secondarySeconds,
                    SamplePlace.Of(PictureBox.Around(p), primary), SamplePlace.Of(PictureBox.Around(s), secondary)),
            });
        }

        return new SampleSet(primary.Encoding, secondary.Encoding, SamplingMethod.Regions, pairs.ToImmutable())
        {
            Rejected = rejected.ToImmutableSortedDictionary(),
            Warnings = [.. warnings],
        };
    }

    private static double Largest(ColourStatistics s) => Math.Max(s.Spread.R, Math.Max(s.Spread.G, s.Spread.B));

    private static string Sentence(string name, string why) => why switch
    {
        "outside" => $"The region '{name}' lies outside the picture and was left out.",
        "too small" => $"The region '{name}' has fewer than {FewestPixels} pixels in a picture and was left out; mark a larger one.",
        _ => $"The region '{name}' is clipped (too bright, too dark or too colourful for the recording) and was left out.",
    };
}
