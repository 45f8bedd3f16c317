using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>A correction followed by a <see cref="Corrections.Trim"/>. It has the correction's kind.</summary>
public sealed record TrimmedCorrection : Correction
{
    private readonly IdentityCorrection _recorded;
    private readonly Matrix3 _light;
    private readonly double _pivot;
    private readonly double _steepness;
    private readonly (double R, double G, double B) _luma;

    /// <summary>Composes the two.</summary>
    /// <param name="inner">The match.</param>
    /// <param name="trim">The changes after it.</param>
    public TrimmedCorrection(Correction inner, Trim trim)
        : base(Given(inner).SecondaryEncoding, inner.PrimaryEncoding)
    {
        ArgumentNullException.ThrowIfNull(trim);
        (Inner, Trim) = (inner, trim);
        SignalEncoding encoding = inner.PrimaryEncoding;
        _recorded = new IdentityCorrection(inner.SecondaryEncoding, encoding);

        // White moves as under a different light: von Kries scaling of Bradford cone responses, from white to the
        // requested white. Mired count from 6500 K, the place of D65 except for its distance from the locus, which both
        // whites keep.
        const double neutralMired = 1e6 / 6500;
        Matrix3 white = Adaptation.Bradford(
            PlanckianLocus.Beside(neutralMired, 0).ToXyz(), PlanckianLocus.Beside(neutralMired + trim.WarmthMired, trim.GreenDuv).ToXyz());
        double gain = Math.Pow(2, trim.ExposureStops);
        _light = trim.WarmthMired == 0 && trim.GreenDuv == 0
            ? Matrix3.Diagonal(gain, gain, gain)
            : Matrix3.Diagonal(gain, gain, gain) * (encoding.XyzToRgb * white * encoding.RgbToXyz);

        // 18 % grey, the usual middle of a scene (common practice).
        _pivot = Math.Clamp(encoding.FromScene(0.18), 0.2, 0.8);
        _steepness = 1 + (trim.ContrastPercent / 100);
        (double r, double g, double b) = (encoding.RgbToXyz.Times(1, 0, 0).Y, encoding.RgbToXyz.Times(0, 1, 0).Y, encoding.RgbToXyz.Times(0, 0, 1).Y);
        _luma = (r, g, b);
    }

    /// <summary>The match.</summary>
    public Correction Inner { get; }

    /// <summary>The changes after it.</summary>
    public Trim Trim { get; }

    /// <inheritdoc/>
    public override CorrectionKind Kind => Inner.Kind;

    /// <summary>The match's numbers, then the trim's ('trim.strength').</summary>
    public override IReadOnlyList<(string Name, double Value)> Numbers => [.. Inner.Numbers, .. Trim.Numbers.Select(n => ("trim." + n.Name, n.Value))];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary)
    {
        CodeRgb matched = Inner.Apply(secondary);
        CodeRgb x = matched;
        if (Trim.Strength != 1)
        {
            x = Mix(_recorded.Apply(WithinReach(secondary)), matched, Trim.Strength);
        }

        // Beyond the signal range the curves would overflow.
        x = WithinReach(x);
        if (Trim.ExposureStops != 0 || Trim.WarmthMired != 0 || Trim.GreenDuv != 0)
        {
            SceneRgb light = PrimaryEncoding.ToScene(x);
            (double r, double g, double b) = _light.Times(light.R, light.G, light.B);
            x = WithinReach(PrimaryEncoding.FromScene(new SceneRgb(r, g, b)));
        }

        if (Trim.ContrastPercent != 0)
        {
            x = new CodeRgb(Steeper(x.R), Steeper(x.G), Steeper(x.B));
        }

        if (Trim.SaturationPercent != 0)
        {
            double luma = (_luma.R * x.R) + (_luma.G * x.G) + (_luma.B * x.B), s = 1 + (Trim.SaturationPercent / 100);
            x = new CodeRgb(luma + (s * (x.R - luma)), luma + (s * (x.G - luma)), luma + (s * (x.B - luma)));
        }

        if (Trim.BlackPercent != 0)
        {
            double black = Trim.BlackPercent / 100;
            x = new CodeRgb(x.R + (black * (1 - x.R)), x.G + (black * (1 - x.G)), x.B + (black * (1 - x.B)));
        }

        if (Trim.SkinKept > 0)
        {
            double skin = SkinTones.Closeness(PrimaryEncoding.ToLab(matched.Clamped()));
            x = double.IsNaN(skin) ? x : Mix(x, matched, Trim.SkinKept * skin);
        }

        return AsFinite(x);
    }

    // 0, the pivot and 1 are fixed points, and the slope at the pivot is the steepness from both sides; beyond 0..1
    // nothing changes. Two hyperbolas, because their slope at black and white is one over the steepness: a power's would
    // be infinite for less contrast, and would amplify the noise of black without bound.
    private double Steeper(double x) => !(x > 0 && x < 1) ? x
        : x < _pivot ? _pivot * Bent(x / _pivot)
        : 1 - ((1 - _pivot) * Bent((1 - x) / (1 - _pivot)));

    private double Bent(double t) => t / (t + (_steepness * (1 - t)));

    private static CodeRgb Mix(CodeRgb from, CodeRgb to, double share) => share >= 1 ? to : new(
        from.R + (share * (to.R - from.R)), from.G + (share * (to.G - from.G)), from.B + (share * (to.B - from.B)));

    private static Correction Given(Correction inner)
    {
        ArgumentNullException.ThrowIfNull(inner);
        return inner;
    }
}
