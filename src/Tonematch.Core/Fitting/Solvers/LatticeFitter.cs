using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Fitting.Solvers;

/// <summary>
/// The lattice: a <see cref="ResidualField"/> on top of a parametric kind, written to a grid. Cross-validation chooses
/// how closely the field may follow the residuals.
/// </summary>
/// <param name="below">Fits the parametric kind below.</param>
/// <param name="nodes">Nodes per side of the grid.</param>
/// <param name="strength">The field's standard deviation as a multiple of the pairs' noise.</param>
internal sealed class LatticeFitter(KindFitter below, int nodes, double strength) : KindFitter
{
    private static readonly double[] s_strengths = [0.15, 0.3, 0.6, 1.2];

    // Above this number, neighbouring pairs are averaged: the system is dense, and the field is far smoother than their
    // distance.
    private const int MaxPlaces = 200;

    public LatticeFitter(KindFitter below, int nodes)
        : this(below, nodes, s_strengths[2])
    {
    }

    public override CorrectionKind Kind => CorrectionKind.Lattice;

    public override string? WhyNot(SampleCoverage coverage) => coverage.Distinct < 6
        ? $"lattice needs at least 6 different colours; there are {coverage.Distinct}."
        : below.WhyNot(coverage);

    public override KindFitter Tuned(FitSamples samples, CrossValidation validation, CancellationToken cancel)
    {
        if (!validation.IsPossible)
        {
            return this;
        }

        Fitted whole = below.Fit(samples, null, cancel);
        return s_strengths
            .Select(s => new LatticeFitter(below, nodes, s))
            .MinBy(f => validation.Mean(validation.Differences(f, whole, cancel)))!;
    }

    public override Fitted Fit(FitSamples samples, Fitted? near, CancellationToken cancel)
    {
        Fitted parametric = below.Fit(samples, near, cancel);
        samples = parametric.AsFitted ?? samples;
        SignalEncoding e = samples.PrimaryEncoding;
        List<Place> all = [];
        for (int i = 0; i < samples.Count; i++)
        {
            FitPair pair = samples.Pairs[i];
            CodeRgb corrected = parametric.Map(pair.Secondary);
            Lab at = e.ToLab(corrected);
            Lab seen = e.ToLab(LevenbergMarquardt.OneSided(pair, corrected)), wanted = pair.PrimaryLab;
            Lab shift = new(wanted.L - seen.L, wanted.A - seen.A, wanted.B - seen.B);
            if (Math.Sqrt((shift.L * shift.L) + (shift.A * shift.A) + (shift.B * shift.B)) > 6 * ResidualField.Size(at) && samples.Count >= 12)
            {
                continue; // a mismatch, or an error that small offsets should not follow
            }

            all.Add(default(Place).With(at, shift, pair.Weight));
        }

        for (double cell = 4; all.Count > MaxPlaces; cell *= 1.25)
        {
            all = Joined(all, cell);
        }

        ResidualField field = ResidualField.Fit(
            [.. all.Select(p => p.MeanAt)], [.. all.Select(p => p.MeanShift)], [.. all.Select(p => 1 / (strength * strength * p.Weight))]);
        CodeRgb Map(CodeRgb secondary)
        {
            CodeRgb code = parametric.Map(secondary);
            Lab at = e.ToLab(code), f = field.At(at);
            return e.FromLab(new Lab(at.L + f.L, at.A + f.A, at.B + f.B));
        }

        return new Fitted(
            Map, () => Grid(parametric.Correction, Map), parametric.Parameters, $"{parametric.HowItEnded}; field {strength:0.0} times the noise");
    }

    // Those in one cell of CIELAB, in a fixed order, because floating-point sums depend on the order.
    private static List<Place> Joined(List<Place> places, double cell)
    {
        Dictionary<(int, int, int), Place> cells = [];
        foreach (Place place in places)
        {
            Lab at = place.MeanAt;
            (int, int, int) key = ((int)Math.Floor(at.L / cell), (int)Math.Floor(at.A / cell), (int)Math.Floor(at.B / cell));
            cells[key] = cells.GetValueOrDefault(key).With(at, place.MeanShift, place.Weight);
        }

        return [.. cells.OrderBy(c => c.Key).Select(c => c.Value)];
    }

    private LatticeCorrection Grid(Correction parametric, Func<CodeRgb, CodeRgb> map)
    {
        float[] offsets = new float[3 * nodes * nodes * nodes];
        for (int i = 0; i < offsets.Length / 3; i++)
        {
            double At(int node) => node / (double)(nodes - 1);
            CodeRgb secondary = new(At(i % nodes), At(i / nodes % nodes), At(i / nodes / nodes));
            CodeRgb from = parametric.Apply(secondary), to = map(secondary);

            // Far outside the gamut a steep display curve can turn little light into large codes: there the grid stays
            // flat.
            if (to.IsFinite && Math.Abs(to.R - from.R) < 0.5 && Math.Abs(to.G - from.G) < 0.5 && Math.Abs(to.B - from.B) < 0.5)
            {
                offsets[3 * i] = (float)(to.R - from.R);
                offsets[(3 * i) + 1] = (float)(to.G - from.G);
                offsets[(3 * i) + 2] = (float)(to.B - from.B);
            }
        }

        return new LatticeCorrection(parametric, nodes, [.. offsets]);
    }

    // Weighted sums of the pairs in one place.
    private readonly record struct Place(Lab At, Lab Shift, double Weight)
    {
        public Lab MeanAt => new(At.L / Weight, At.A / Weight, At.B / Weight);

        public Lab MeanShift => new(Shift.L / Weight, Shift.A / Weight, Shift.B / Weight);

        public Place With(Lab at, Lab shift, double w) => new(
            new Lab(At.L + (w * at.L), At.A + (w * at.A), At.B + (w * at.B)),
            new Lab(Shift.L + (w * shift.L), Shift.A + (w * shift.A), Shift.B + (w * shift.B)),
            Weight + w);
    }
}
