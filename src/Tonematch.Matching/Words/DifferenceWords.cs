using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Numerics;
using Tonematch.Samples;

namespace Tonematch.Matching.Words;

/// <summary>
/// Describes in camera terms how two cameras differ, what the correction leaves, and what to set next time.
/// </summary>
public static class DifferenceWords
{
    // Differences below these are not worth a setting: a tenth of a stop, 5 mired (about 150 K at 5600 K), 3 %.
    private const double SmallStops = 0.1;
    private const double SmallMired = 5;
    private const double SmallGreen = 0.001;
    private const double SmallPercent = 3;
    private const double SmallLift = 1;

    private const int FewSamples = 3;
    private const int MostStubborn = 5;

    /// <summary>Describes the difference from the pairs and their fit.</summary>
    /// <exception cref="ArgumentException">The fit does not belong to these samples (the numbers of pairs differ).</exception>
    public static CameraDifference Describe(SampleSet samples, FitResult fit)
    {
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentNullException.ThrowIfNull(fit);
        if (fit.Advised.PairDeltaE.Length != samples.Pairs.Length)
        {
            throw new ArgumentException($"The fit is of {fit.Advised.PairDeltaE.Length} pairs, the samples are {samples.Pairs.Length}.", nameof(fit));
        }

        SignalEncoding e = samples.PrimaryEncoding;
        PerChannel gains = GainsOf(samples, fit);
        GainsCorrection equal = new(samples.SecondaryEncoding, e, gains.R, gains.G, gains.B);
        ImmutableArray<Seen> seen =
        [
            .. samples.Pairs.Select((p, i) => new Seen(
                p,
                e.ToLab(p.Primary.Clamped()),
                e.ToLab(equal.Apply(p.Secondary).Clamped()),
                fit.Candidates[0].PairDeltaE[i],
                fit.Advised.PairDeltaE[i],
                i)).Where(s => double.IsFinite(s.After)),
        ];

        // The gains that bring the secondary to the primary; their inverse shows how the secondary sees the primary's
        // white.
        Matrix3 toXyz = e.RgbToXyz;
        (_, double y, _) = toXyz.Times(gains.R, gains.G, gains.B);
        // Relative to each encoding's reference white: in HLG and PQ the same exposure is a different share of the
        // range.
        double stops = -Math.Log2(y * samples.SecondaryEncoding.ReferenceWhite / e.ReferenceWhite);
        (double wx, double wy, double wz) = toXyz.Times(1 / gains.R, 1 / gains.G, 1 / gains.B);
        double sum = wx + wy + wz;
        WhiteShift white = WhiteShift.Between(new Chromaticity(wx / sum, wy / sum), Chromaticity.D65);

        double? contrast = Contrast(seen), saturation = Saturation(seen), lift = BlackLift(seen);
        ImmutableArray<ZoneDifference> zones = Zones(seen);
        ImmutableArray<StubbornColour> stubborn = Stubborn(seen, fit);
        return new CameraDifference(
            stops,
            white,
            contrast,
            lift,
            saturation,
            zones,
            stubborn,
            Summary(samples, fit, stops, white, contrast, lift, saturation, zones, stubborn),
            OnTheCamera(samples, stops, white, contrast, lift, saturation));
    }

    // The fitted gains, or the median ratio of linear light if they were not requested.
    private static PerChannel GainsOf(SampleSet samples, FitResult fit)
    {
        foreach (FittedCandidate c in fit.Candidates)
        {
            if (c.Correction is GainsCorrection g)
            {
                return new PerChannel(g.R, g.G, g.B);
            }
        }

        GainsCorrection none = new(samples.SecondaryEncoding, samples.PrimaryEncoding, 1, 1, 1);
        double Ratio(Func<SceneRgb, double> channel)
        {
            double[] ratios =
            [
                .. samples.Pairs
                    .Select(p => (From: channel(samples.PrimaryEncoding.ToScene(none.Apply(p.Secondary))), To: channel(samples.PrimaryEncoding.ToScene(p.Primary))))
                    .Where(t => t.From > 0.005 && t.To > 0.005)
                    .Select(t => t.To / t.From),
            ];
            return ratios.Length > 0 ? Median.Of(ratios) : 1;
        }

        return new PerChannel(Ratio(l => l.R), Ratio(l => l.G), Ratio(l => l.B));
    }

    // Slope of the secondary's lightness against the primary's.
    private static double? Contrast(ImmutableArray<Seen> seen)
    {
        double w = seen.Sum(s => s.Pair.Weight);
        double x = seen.Sum(s => s.Pair.Weight * s.Primary.L) / w, y = seen.Sum(s => s.Pair.Weight * s.Equal.L) / w;
        double xx = seen.Sum(s => s.Pair.Weight * (s.Primary.L - x) * (s.Primary.L - x)) / w;
        double xy = seen.Sum(s => s.Pair.Weight * (s.Primary.L - x) * (s.Equal.L - y)) / w;
        return seen.Length >= FewSamples && Math.Sqrt(xx) > 8 ? ((xy / xx) - 1) * 100 : null;
    }

    private static double? Saturation(ImmutableArray<Seen> seen)
    {
        Seen[] coloured = [.. seen.Where(s => s.Primary.Chroma > 10)];
        double xx = coloured.Sum(s => s.Pair.Weight * s.Primary.Chroma * s.Primary.Chroma);
        return coloured.Length >= FewSamples
            ? ((coloured.Sum(s => s.Pair.Weight * s.Primary.Chroma * s.Equal.Chroma) / xx) - 1) * 100
            : null;
    }

    private static double? BlackLift(ImmutableArray<Seen> seen)
    {
        Seen[] dark = [.. seen.Where(s => s.Primary.L < 25)];
        return dark.Length > 0 ? dark.Sum(s => s.Pair.Weight * (s.Equal.L - s.Primary.L)) / dark.Sum(s => s.Pair.Weight) : null;
    }

    private static ImmutableArray<ZoneDifference> Zones(ImmutableArray<Seen> seen)
    {
        (string Name, Func<Lab, bool> Contains)[] zones =
        [
            ("shadows", l => l.L < 25),
            ("middle", l => l.L is >= 25 and <= 75),
            ("highlights", l => l.L > 75),
            ("neutrals", l => l.Chroma < 5),
            ("skin", SkinTones.Contains),
        ];
        ImmutableArray<ZoneDifference>.Builder found = ImmutableArray.CreateBuilder<ZoneDifference>();
        foreach ((string name, Func<Lab, bool> contains) in zones)
        {
            Seen[] within = [.. seen.Where(s => contains(s.Primary))];
            if (within.Length > 0)
            {
                double w = within.Sum(s => s.Pair.Weight);
                found.Add(new ZoneDifference(
                    name,
                    within.Length,
                    within.Sum(s => s.Pair.Weight * s.Before) / w,
                    within.Sum(s => s.Pair.Weight * s.After) / w));
            }
        }

        return found.ToImmutable();
    }

    private static ImmutableArray<StubbornColour> Stubborn(ImmutableArray<Seen> seen, FitResult fit)
    {
        if (seen.IsEmpty)
        {
            return [];
        }

        double limit = Math.Max(2, 2 * Median.Of(seen.Select(s => s.After)));
        return
        [
            .. seen.Where(s => s.After > limit)
                .OrderByDescending(s => s.After)
                .ThenBy(s => s.Pair.Id, StringComparer.Ordinal)
                .Take(MostStubborn)
                .Select(s =>
                {
                    (StubbornReason reason, string why) = Reason(s, seen, fit);
                    string name = s.Pair.Label.Length > 0 ? s.Pair.Label : PlainColourNames.Of(s.Primary);
                    return new StubbornColour(s.Pair.Id, name, s.After, reason, why);
                }),
        ];
    }

    private static (StubbornReason Reason, string Why) Reason(Seen one, ImmutableArray<Seen> all, FitResult fit)
    {
        static bool Clipped(CodeRgb c) =>
            Math.Max(c.R, Math.Max(c.G, c.B)) >= 0.998 || Math.Min(c.R, Math.Min(c.G, c.B)) <= 0.002;
        if (Clipped(one.Pair.Primary) || Clipped(one.Pair.Secondary))
        {
            string where = Clipped(one.Pair.Secondary) ? "camera B" : "camera A";
            return (StubbornReason.Clipped, $"clipped in {where}: what is lost there cannot be brought back");
        }

        // Similar colours of other objects.
        Seen[] near = [.. all.Where(s => s.Pair.Group != one.Pair.Group && DeltaE2000.Between(s.Primary, one.Primary) < 12)];
        if (near.Length == 0)
        {
            return (StubbornReason.Alone, "nothing else like it was compared: mark more of it in both pictures");
        }

        // Most of them, not all: a mismatch in one frame often recurs in the next, and must not confirm itself.
        double usual = near.Select(s => s.After).Order().ElementAt(near.Length / 2);
        if (usual >= one.After / 3)
        {
            return (StubbornReason.Unexplained, "similar colours still differ too, and what was compared does not show why");
        }

        return IsLeftByRichKinds(one, all, fit)
            ? (StubbornReason.Metameric, "the two sensors see it differently under this light, as light of narrow bands does it (many LED and stage lamps): it was seen many times, no kind of correction matches it, and other things of the same colour do match")
            : (StubbornReason.Mismatched, "similar colours match, so perhaps it is not the same thing in both pictures");
    }

    // The same pair of colours recurs at several instants and in several parts of the picture: so it is no wrong pair,
    // which in a still picture recurs only at its own place; and every flexible kind could have followed it.
    private static bool IsLeftByRichKinds(Seen one, ImmutableArray<Seen> all, FitResult fit)
    {
        const int fewestSamples = 6, fewestInstants = 3, fewestParts = 3;
        const double alike = 4, part = 0.1;
        Seen[] same = [.. all.Where(s => DeltaE2000.Between(s.Primary, one.Primary) < alike && DeltaE2000.Between(s.Equal, one.Equal) < alike)];
        FittedCandidate[] rich = [.. fit.Candidates.Where(c => c.Correction.Kind is CorrectionKind.CurvesMatrix or CorrectionKind.RootPolynomial or CorrectionKind.Lattice)];
        SampleOrigin[] from = [.. same.Select(s => s.Pair.Origin).OfType<SampleOrigin>()];
        return same.Length >= fewestSamples && rich.Length > 0
            && from.Select(o => o.PrimarySeconds).Distinct().Count() >= fewestInstants
            && from.Select(o => ((int)(o.Primary.X / part), (int)(o.Primary.Y / part))).Distinct().Count() >= fewestParts
            && rich.All(c => same.Select(s => c.PairDeltaE[s.Index]).Order().ElementAt(same.Length / 2) > DeltaEScale.CutsWell);
    }

    // A log profile is decoded with the wrong curve here: stops, mired and percentages would describe the profile, not
    // the camera's settings.
    private static bool IsProfile(SampleSet samples) => samples.PrimaryLooksLog || samples.SecondaryLooksLog;

    private static string Summary(
        SampleSet samples,
        FitResult fit,
        double stops,
        WhiteShift white,
        double? contrast,
        double? lift,
        double? saturation,
        ImmutableArray<ZoneDifference> zones,
        ImmutableArray<StubbornColour> stubborn)
    {
        List<string> settings = [];
        if (Math.Abs(stops) >= SmallStops)
        {
            settings.Add($"{Number(Math.Abs(stops), "0.0")} stop{(Math.Abs(stops) >= 1.05 ? "s" : "")} {(stops < 0 ? "under" : "over")}");
        }

        if (Math.Abs(white.Mired) >= SmallMired)
        {
            settings.Add($"{HowWarm(white.Mired)} {(white.Mired > 0 ? "warmer" : "cooler")} ({Number(Math.Abs(white.Mired), "0")} mired)");
        }

        if (Math.Abs(white.Green) >= SmallGreen)
        {
            string much = Math.Abs(white.Green) switch { < 0.004 => "a little", < 0.01 => "clearly", _ => "strongly" };
            settings.Add($"{much} {(white.Green > 0 ? "green" : "magenta")}");
        }

        List<string> styles = [];
        void Style(string what, double? percent)
        {
            if (percent is { } p && Math.Abs(p) >= SmallPercent)
            {
                styles.Add($"{what} {Number(Math.Abs(p), "0")} % {(p < 0 ? "lower" : "higher")}");
            }
        }

        Style("contrast", contrast);
        Style("saturation", saturation);
        if (lift is { } l && Math.Abs(l) >= SmallLift)
        {
            styles.Add($"shadows {(l < 0 ? "darker" : "lighter")} ({Number(Math.Abs(l), "0.0")} L*)");
        }

        string first = IsProfile(samples)
            ? "The cameras' settings cannot be read from a recording that looks like log"
            : settings.Count + styles.Count == 0
            ? "Camera B is set like camera A"
            : "Camera B is " + (settings.Count > 0 ? Joined(settings) : "exposed and balanced like camera A")
                + (styles.Count > 0 ? "; " + Joined(styles) : "");
        List<string> rest = [];
        if (zones.FirstOrDefault(z => z.Name == "skin") is { Count: >= FewSamples } skin)
        {
            rest.Add($"colours like skin differ by {With(skin.After)}");
        }

        if (stubborn.Length > 0)
        {
            StubbornColour s = stubborn[0];
            rest.Add($"{s.Name} differs by {Number(s.DeltaE, "0.0")} ({DeltaEWords.Visible(s.DeltaE)}: {s.Why})");
        }

        return rest.Count > 0 ? $"{first}. {(fit.Advised.Correction.Kind == CorrectionKind.Identity ? "As recorded" : "After the correction")} {string.Join(", ", rest)}." : $"{first}.";
    }

    // A log profile or an input LUT determines contrast, saturation and black on purpose: no advice to change them.
    private static ImmutableArray<string> OnTheCamera(
        SampleSet samples, double stops, WhiteShift white, double? contrast, double? lift, double? saturation)
    {
        if (IsProfile(samples))
        {
            return [];
        }

        ImmutableArray<string>.Builder advice = ImmutableArray.CreateBuilder<string>();
        if (Math.Abs(stops) >= SmallStops)
        {
            advice.Add($"Exposure: {Number(Math.Abs(stops), "0.0")} stop {(stops < 0 ? "more" : "less")} on camera B.");
        }

        if (Math.Abs(white.Mired) >= SmallMired)
        {
            // A camera set to a higher colour temperature gives a warmer picture.
            const double example = 5600;
            double instead = Math.Round(1e6 / ((1e6 / example) + white.Mired) / 100) * 100;
            advice.Add($"White balance: {HowWarm(white.Mired)} {(white.Mired > 0 ? "cooler" : "warmer")} on camera B, for example {Number(instead, "0")} K where it was set to {Number(example, "0")} K ({Number(Math.Abs(white.Mired), "0")} mired).");
        }

        if (Math.Abs(white.Green) >= SmallGreen)
        {
            advice.Add($"Tint: {(Math.Abs(white.Green) < 0.004 ? "a little" : "clearly")} more {(white.Green > 0 ? "magenta" : "green")} on camera B.");
        }

        if (samples.IsBehindInput || samples.PrimaryEncoding.IsLog || samples.SecondaryEncoding.IsLog)
        {
            return advice.ToImmutable();
        }

        if (contrast is { } c && Math.Abs(c) >= SmallPercent)
        {
            advice.Add($"Picture style: {(c < 0 ? "more" : "less")} contrast on camera B (about {Number(Math.Abs(c), "0")} %).");
        }

        if (saturation is { } s && Math.Abs(s) >= SmallPercent)
        {
            advice.Add($"Picture style: {(s < 0 ? "more" : "less")} saturation on camera B (about {Number(Math.Abs(s), "0")} %).");
        }

        if (lift is { } l && Math.Abs(l) >= SmallLift)
        {
            advice.Add($"Black level: {(l < 0 ? "higher" : "lower")} on camera B (its shadows are {(l < 0 ? "darker" : "lighter")} by {Number(Math.Abs(l), "0.0")} L*).");
        }

        return advice.ToImmutable();
    }

    // 10 mired is just visible; 50 is the step from daylight to a slightly warm evening (common practice).
    private static string HowWarm(double mired) => Math.Abs(mired) switch { < 15 => "a little", < 40 => "clearly", _ => "much" };

    private static string With(double deltaE) => $"{Number(deltaE, "0.0")} ({DeltaEWords.Visible(deltaE)})";

    private static string Number(double value, string format) => value.ToString(format, CultureInfo.InvariantCulture);

    private static string Joined(List<string> parts) => string.Join(", ", parts);

    // One pair in CIELAB: the primary, the secondary with exposure and white equalised, and the differences before and
    // after.
    private sealed record Seen(SamplePair Pair, Lab Primary, Lab Equal, double Before, double After, int Index);
}
