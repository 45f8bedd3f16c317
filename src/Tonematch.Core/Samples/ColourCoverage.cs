using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>How much of the secondary's colours the samples cover.</summary>
/// <param name="Share">Share (0..1) of the secondary's pixels whose colour is near a sample; clipped ones are ignored.</param>
/// <param name="Uncovered">The colours without a sample nearby, largest share first; each at least one hundredth of the picture.</param>
public sealed record ColourCoverage(double Share, ImmutableArray<UncoveredColour> Uncovered)
{
    /// <summary>
    /// A colour is near a sample if they differ by at most this (CIEDE2000), so that a camera treats both alike. A
    /// convention of this project.
    /// </summary>
    public const double NearDeltaE = 8;

    private const double SmallestShare = 0.01;
    private const int MostNamed = 6;
    private const int MostPixels = 40000;
    private const double Cell = 4;
    private const double OneColourDeltaE = 14;

    /// <summary>A sentence that names the uncovered colours; null if nothing important is missing.</summary>
    public string? Warning => Uncovered.IsEmpty
        ? null
        : string.Create(CultureInfo.InvariantCulture, $"{1 - Share:0 %} of camera B's picture has colours unlike any that was compared: {string.Join(", ", Uncovered.Select(u => string.Create(CultureInfo.InvariantCulture, $"{u.Name} ({u.Share:0 %})")))}. There the correction is estimated from other colours: look at them, or mark such a thing in both pictures (--region).");

    /// <summary>Compares the colours of the secondary's frames with the samples.</summary>
    /// <exception cref="ArgumentException">No frames.</exception>
    public static ColourCoverage Of(SampleSet samples, IReadOnlyList<Picture> secondary)
    {
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentNullException.ThrowIfNull(secondary);
        if (secondary.Count == 0)
        {
            throw new ArgumentException("At least one frame of camera B is needed.", nameof(secondary));
        }

        Lab[] sampled = [.. samples.Pairs.Select(p => samples.SecondaryEncoding.ToLab(p.Secondary))];
        List<(Lab Colour, int Count)> colours = Colours(secondary);
        double total = colours.Sum(c => c.Count);
        List<(Lab Colour, int Count)> far = [.. colours.Where(c => !sampled.Any(s => IsNear(s, c.Colour)))];
        double share = total > 0 ? 1 - (far.Sum(c => c.Count) / total) : 0;
        return new ColourCoverage(share, Name(far, total, secondary[0].Encoding));
    }

    /// <summary>Whether a sample covers a colour: they differ by at most <see cref="NearDeltaE"/>.</summary>
    public static bool IsNear(Lab a, Lab b) => Math.Abs(a.L - b.L) < 2.5 * NearDeltaE && DeltaE2000.Between(a, b) <= NearDeltaE;

    // The colours of the frames in cells of 4 CIELAB units, each represented by its mean.
    private static List<(Lab Colour, int Count)> Colours(IReadOnlyList<Picture> pictures)
    {
        long pixels = pictures.Sum(p => (long)p.Width * p.Height);
        int step = (int)Math.Max(1, pixels / MostPixels) | 1;
        Dictionary<(int, int, int), (double L, double A, double B, int Count)> cells = [];
        foreach (Picture picture in pictures)
        {
            for (int i = step / 2; i < picture.Width * picture.Height; i += step)
            {
                CodeRgb code = new(picture.R[i], picture.G[i], picture.B[i]);
                if (!code.IsFinite || ColourStatistics.Clips(code))
                {
                    continue;
                }

                Lab c = picture.Encoding.ToLab(code);
                (int, int, int) cell = ((int)Math.Round(c.L / Cell), (int)Math.Round(c.A / Cell), (int)Math.Round(c.B / Cell));
                (double l, double a, double b, int count) = cells.GetValueOrDefault(cell);
                cells[cell] = (l + c.L, a + c.A, b + c.B, count + 1);
            }
        }

        return [.. cells.Values.Select(c => (new Lab(c.L / c.Count, c.A / c.Count, c.B / c.Count), c.Count))];
    }

    // The most frequent colour first, with everything similar to it, until little remains.
    private static ImmutableArray<UncoveredColour> Name(List<(Lab Colour, int Count)> far, double total, SignalEncoding encoding)
    {
        far.Sort((a, b) => b.Count.CompareTo(a.Count));
        List<UncoveredColour> named = [];
        while (far.Count > 0)
        {
            Lab centre = far[0].Colour;
            ILookup<bool, (Lab Colour, int Count)> alike = far.ToLookup(c => DeltaE2000.Between(centre, c.Colour) <= OneColourDeltaE);
            (List<(Lab Colour, int Count)> like, far) = ([.. alike[true]], [.. alike[false]]);
            double count = like.Sum(c => c.Count);
            Lab mean = new(
                like.Sum(c => c.Count * c.Colour.L) / count, like.Sum(c => c.Count * c.Colour.A) / count, like.Sum(c => c.Count * c.Colour.B) / count);
            string name = PlainColourNames.Of(mean);
            int known = named.FindIndex(u => u.Name == name);
            if (known >= 0)
            {
                named[known] = named[known] with { Share = named[known].Share + (count / total) };
            }
            else
            {
                named.Add(new UncoveredColour(name, encoding.FromLab(mean), count / total));
            }
        }

        return [.. named.Where(u => u.Share >= SmallestShare).OrderByDescending(u => u.Share).Take(MostNamed)];
    }
}
