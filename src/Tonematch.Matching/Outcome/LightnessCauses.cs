using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Samples;

namespace Tonematch.Matching.Outcome;

/// <summary>
/// How much of the lightness error that a correction leaves depends on the instant, and how much on the place in the
/// picture.
/// </summary>
/// <param name="InPrimary">By areas of the primary's picture.</param>
/// <param name="InSecondary">By areas of the secondary's picture.</param>
/// <param name="PrimaryToCorners">L* by which the primary remains darker in its corners than in its centre, from a fitted parabola; negative: lighter.</param>
/// <param name="SecondaryToCorners">The same for the secondary.</param>
/// <param name="PrimaryParabola">Share of the variance that the parabola explains, 0..1.</param>
/// <param name="SecondaryParabola">The same for the secondary.</param>
public sealed record LightnessCauses(
    LeftInLightness InPrimary, LeftInLightness InSecondary, double PrimaryToCorners, double SecondaryToCorners, double PrimaryParabola, double SecondaryParabola)
{
    // Areas of the picture: as many as a few hundred samples can fill.
    private const int Columns = 4;
    private const int Rows = 3;

    /// <summary>Analyses the corrected samples; those without a place are skipped.</summary>
    public static LightnessCauses Of(SampleSet samples, BakedCorrection chosen)
    {
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentNullException.ThrowIfNull(chosen);
        SamplePair[] placed = [.. samples.Pairs.Where(p => p.Origin is not null && p.Primary.IsFinite && p.Secondary.IsFinite)];
        double[] left =
        [
            .. placed.Select(p => samples.PrimaryEncoding.ToLab(p.Primary.Clamped()).L - samples.PrimaryEncoding.ToLab(chosen.Corrected(p)).L),
        ];
        ImmutableArray<double> instants = [.. placed.Select(p => p.Origin!.PrimarySeconds).Distinct().Order()];
        LeftInLightness In(Func<SampleOrigin, SamplePlace> place) => LeftInLightness.Of(
            [.. placed.Select((p, i) => new LeftAt(left[i], instants.BinarySearch(p.Origin!.PrimarySeconds), Area(place(p.Origin))))]);
        (double primary, double ofPrimary) = ToCorners([.. placed.Select(p => p.Origin!.Primary)], left);
        (double secondary, double ofSecondary) = ToCorners([.. placed.Select(p => p.Origin!.Secondary)], left);

        // Where the primary is lighter than the corrected secondary, the secondary is darker.
        return new LightnessCauses(In(o => o.Primary), In(o => o.Secondary), -primary, secondary, ofPrimary, ofSecondary);
    }

    private static int Area(SamplePlace place) =>
        Math.Clamp((int)(Columns * place.X), 0, Columns - 1) + (Columns * Math.Clamp((int)(Rows * place.Y), 0, Rows - 1));

    // Least squares over the squared distance from the centre, which is 1 in the corners: the slope, and the share of
    // variance it explains.
    private static (double Slope, double Share) ToCorners(SamplePlace[] places, double[] left)
    {
        if (places.Length < 2)
        {
            return (0, 0);
        }

        double[] square = [.. places.Select(p => 2 * (((p.X - 0.5) * (p.X - 0.5)) + ((p.Y - 0.5) * (p.Y - 0.5))))];
        double x = square.Average(), y = left.Average();
        double xx = square.Sum(s => (s - x) * (s - x)), yy = left.Sum(l => (l - y) * (l - y)), xy = square.Zip(left, (s, l) => (s - x) * (l - y)).Sum();
        return xx > 0 && yy > 0 ? (xy / xx, xy * xy / (xx * yy)) : (0, 0);
    }
}
