using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting.Models;
using Tonematch.Fitting.Solvers;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>
/// Fits every kind of correction to corresponding colours, tests each on colours left out of its fit, and advises one.
/// </summary>
public static class CorrectionFitting
{
    private const int MinPairs = 3;

    private const int MostOfOneBoard = 140;

    // Some kind follows any picture style that is the same everywhere to within what is visible side by side. A larger
    // error on unseen patches means that the place plays a part.
    private const double LeastOfPlaces = 1;

    // Larger sets are condensed for the last step of a fit, whose time grows with their number without improving the
    // result; pairs are still judged one by one.
    private const int MostFitted = 4000;

    private const string TooRichForWholePictures =
        "The pictures were compared as a whole, which shows how bright and colourful they are but not which colour became which, so this kind would mistake a difference of content for a difference of cameras.";

    // From simple to flexible; the lattice comes last, on top of the best of them.
    private static readonly KindFitter[] s_parametric =
    [
        new ParametricFitter(CorrectionKind.Gains, _ => new GainsModel(), 1, needsColours: false),
        new ParametricFitter(CorrectionKind.LiftGammaGain, _ => new LiftGammaGainModel(), 4, needsColours: false),
        new ParametricFitter(CorrectionKind.Cdl, _ => new CdlModel(), 4, needsColours: false),
        new ParametricFitter(CorrectionKind.Matrix, s => new MatrixModel(s), 4, needsColours: true),
        new ParametricFitter(CorrectionKind.CurvesMatrix, s => new CurvesMatrixModel(s), 5, needsColours: true),
        new ParametricFitter(CorrectionKind.RootPolynomial, s => new RootPolynomialModel(s), 6, needsColours: true),
    ];

    /// <summary>
    /// The fitters of a kind and of all simpler ones, from flexible to simple; for the lattice, those of its usual
    /// base.
    /// </summary>
    internal static IEnumerable<KindFitter> FittersDownFrom(CorrectionKind kind)
    {
        CorrectionKind first = kind == CorrectionKind.Lattice ? CorrectionKind.CurvesMatrix : kind;
        return s_parametric.Take(Math.Max(0, Array.FindIndex(s_parametric, f => f.Kind == first)) + 1).Reverse();
    }

    /// <summary>Fits the requested kinds and advises the simplest one that is as good as the best.</summary>
    /// <param name="samples">Corresponding colours. Their order does not matter.</param>
    /// <param name="options">Which kinds to fit, and how.</param>
    /// <param name="cancel">Stops the fit.</param>
    /// <param name="progress">Receives the share of the kinds that is done, 0..1.</param>
    /// <returns>
    /// Statistics are CIEDE2000 between the displayed colours of the primary and the corrected secondary, both clamped
    /// to the signal range 0..1, weighted by the pairs' own weights; for pairs left out of the fit, uneven light on a
    /// chart is removed first. Doing nothing is always the first candidate.
    /// </returns>
    /// <remarks>
    /// Choice: L. Breiman, J. Friedman, R. Olshen and C. Stone, 'Classification and Regression Trees', 1984, 3.4.3: the
    /// simplest kind within one standard error of the best cross-validated mean; here the standard error of the
    /// difference between the two on the same groups, which is the sharper test.
    /// </remarks>
    /// <exception cref="NoTrustworthyResultException">The samples do not support any fit: too few, all of one colour, or all clipped.</exception>
    public static FitResult Fit(SampleSet samples, FitOptions options, CancellationToken cancel, IProgress<double>? progress = null)
    {
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentNullException.ThrowIfNull(options);
        ArgumentOutOfRangeException.ThrowIfLessThan(options.Folds, 2);
        FitSamples all = FitSamples.From(samples, options);
        SampleCoverage coverage = SampleCoverage.Of(all);
        Refuse(samples, all, coverage);

        ImmutableArray<string>.Builder warnings = ImmutableArray.CreateBuilder<string>();
        int unusable = samples.Pairs.Length - all.Count;
        if (unusable > 0)
        {
            warnings.Add($"{unusable} of {samples.Pairs.Length} pairs have no usable values or no weight and were left out.");
        }

        KindFitter[] parametric = [.. s_parametric.Select(f => new CachingFitter(f))];
        KindFitter curves = parametric.First(f => f.Kind == CorrectionKind.CurvesMatrix);
        FitSamples recorded = all;
        if (samples.Method == SamplingMethod.Chart)
        {
            all = EvenlyLit(recorded, coverage, curves, cancel);
            if (all != recorded)
            {
                warnings.Add(string.Create(CultureInfo.InvariantCulture,
                    $"The light falls differently on the chart in the two pictures, by up to {100 * (Shading.Range(recorded, all) - 1):0} % from one patch to another. This was removed before fitting; no colour correction can remove it from the pictures."));
            }
        }

        FitSamples evenlyLit = all;
        Localities? localities = Localities.Of(evenlyLit, coverage, curves, cancel);
        all = localities?.Evened() ?? evenlyLit;
        if (localities is not null && PlaceWords(localities) is { } differing)
        {
            warnings.Add(differing);
        }

        CrossValidation validation = CrossValidation.Plan(all, options.Folds);
        FitSamples fittedTo = all.Count <= MostFitted ? all : all.Condensed(MostFitted).Normalised();
        if (!validation.IsPossible)
        {
            warnings.Add("Too few different things were compared (fewer than three) to test the correction on colours it was not made from. Only the simplest kinds are advised; compare more things.");
        }

        List<FittedCandidate> candidates = [];
        List<double[]?> heldOut = [];
        List<bool> safe = [];
        List<(KindFitter? By, Fitted Fitted)> fits = [];
        ImmutableArray<(CorrectionKind, string)>.Builder notFitted = ImmutableArray.CreateBuilder<(CorrectionKind, string)>();
        void Add(Fitted fitted, double[]? left, double[]? leftAsRecorded, KindFitter? by)
        {
            fits.Add((by, fitted));
            candidates.Add(Candidate(recorded, samples, fitted, leftAsRecorded, validation));
            heldOut.Add(left);
            safe.Add(NeutralsRise(fitted.Correction));
            if (!safe[^1])
            {
                warnings.Add($"A correction of the kind {fitted.Correction.Kind.Name()} would make a lighter grey come out darker here, so it is not advised.");
            }
        }

        IdentityCorrection identity = new(samples.SecondaryEncoding, samples.PrimaryEncoding);
        Add(new Fitted(identity, [], "nothing to fit"), Differences(all, identity.Apply), Differences(evenlyLit, identity.Apply), null);
        void Try(KindFitter fitter)
        {
            cancel.ThrowIfCancellationRequested();
            if ((samples.Method == SamplingMethod.Overall && fitter.Kind > CorrectionKind.Matrix ? TooRichForWholePictures : fitter.WhyNot(coverage)) is { } why)
            {
                notFitted.Add((fitter.Kind, why));
                return;
            }

            fitter = fitter.Tuned(fittedTo, validation, cancel);
            Fitted? near = validation.Condensed == all ? null : fitter.Fit(validation.Condensed, null, cancel);
            Fitted fitted = fitter.Fit(fittedTo, near, cancel);
            (double[] Given, double[] Recorded)? left = validation.IsPossible ? validation.Differences(fitter, fitted, evenlyLit, cancel) : null;
            Add(fitted, left?.Given, left?.Recorded, fitter);
        }

        bool Wanted(CorrectionKind kind) => options.Kinds is not { } kinds || kinds.Contains(kind);
        KindFitter[] wanted = [.. parametric.Where(f => Wanted(f.Kind))];
        for (int i = 0; i < wanted.Length; i++)
        {
            // Planning and condensing came first and the lattice comes last: one share each.
            progress?.Report((i + 1.0) / (wanted.Length + 2));
            Try(wanted[i]);
        }

        progress?.Report((wanted.Length + 1.0) / (wanted.Length + 2));

        if (Wanted(CorrectionKind.Lattice))
        {
            Try(new LatticeFitter(BestBelow(parametric, candidates, heldOut, coverage, validation), options.LatticeNodes));
        }

        int advised = validation.IsPossible ? validation.Simplest(heldOut, safe) : BestOnTraining(candidates);
        CloseChoice? close = validation.IsPossible && validation.PassedOver(heldOut, safe, advised) is (int best, double difference, double uncertainty)
            ? new CloseChoice(candidates[advised].Correction.Kind, candidates[best].Correction.Kind, difference, uncertainty)
            : null;
        if (MayBeVeiled(samples) && Wanted(CorrectionKind.Lattice)
            && candidates[advised].HeldOutOrFitted.Mean >= LeastOfPlaces
            && candidates[advised].Correction.Kind is not (CorrectionKind.Identity or CorrectionKind.Gains or CorrectionKind.Matrix)
            && candidates.FindIndex(c => c.Correction.Kind == CorrectionKind.Matrix) is int stiff and > 0
            && OneBoardFitter.Veiled(candidates[stiff].Correction) is double veiled and >= OneBoardFitter.Least)
        {
            // It replaces the lattice, which is no better away from the board than the kind below it.
            KindFitter rich = fits[advised].By!;
            if (candidates.FindIndex(c => c.Correction.Kind == CorrectionKind.Lattice) is int lattice and > 0)
            {
                candidates.RemoveAt(lattice);
                heldOut.RemoveAt(lattice);
                fits.RemoveAt(lattice);
                safe.RemoveAt(lattice);
            }

            Try(new OneBoardFitter(rich, fits[stiff].By!, options.LatticeNodes));
            advised = safe[^1] ? candidates.Count - 1 : stiff;
            warnings.Add(string.Create(CultureInfo.InvariantCulture,
                $"One of the two pictures is hazy where it was compared (a haze of {100 * OneBoardFitter.VeilOf(candidates[stiff].Correction):0.0} % of white), and such haze is not the same everywhere. So greys are corrected only as far as an even haze explains, not by everything these {all.Count} colours show. Compare other parts of the picture too, or shade the lenses next time."));
        }

        AddMismatches(candidates[advised], warnings);
        UnseenPlaces unseen = new(evenlyLit, localities);
        ImmutableArray<FittedPlace> places = [];
        for (int k = 0; k < candidates.Count && unseen.IsPossible; k++)
        {
            cancel.ThrowIfCancellationRequested();
            double[]?[] left = unseen.Differences(fits[k].By, fits[k].Fitted, cancel);
            candidates[k] = candidates[k] with { UnseenPlaces = unseen.Of(left) };
            places = k == advised ? unseen.Places(left, identity) : places;
        }

        return new FitResult(candidates[0].Train, [.. candidates], candidates[advised])
        {
            Places = places,
            NotFitted = notFitted.ToImmutable(),
            Warnings = warnings.ToImmutable(),
            VeilOfBoard = MayBeVeiled(samples) && candidates.Find(c => c.Correction.Kind == CorrectionKind.Matrix) is { } matrix
                ? OneBoardFitter.VeilOf(matrix.Correction)
                : null,
            Close = candidates[advised].Correction.Kind == close?.Advised ? close : null,
        };
    }

    // Whether all pairs come from one board and so share one haze: those of a chart do; pairs given by hand are assumed
    // to if they are no more than the patches of the largest charts. The lifted black of a log profile is not haze.
    private static bool MayBeVeiled(SampleSet samples) =>
        !samples.PrimaryLooksLog && !samples.SecondaryLooksLog
        && (samples.Method == SamplingMethod.Chart || (samples.Method == SamplingMethod.Given && samples.Pairs.Length <= MostOfOneBoard))
        && samples.Pairs.All(p => p.Locality.Length == 0 || SampleLocality.IsChart(p.Locality));

    // Uneven light on the chart is separated from colour using the chart's patches alone; the other pairs stay
    // unchanged.
    private static FitSamples EvenlyLit(FitSamples recorded, SampleCoverage coverage, KindFitter curves, CancellationToken cancel)
    {
        int[] onChart = [.. Enumerable.Range(0, recorded.Count).Where(i => recorded.Pairs[i].Locality is var l && (l.Length == 0 || SampleLocality.IsChart(l)))];
        if (onChart.Length == recorded.Count)
        {
            return Shading.Evened(recorded, coverage, curves, cancel);
        }

        FitSamples chart = recorded.Subset(onChart), even = Shading.Evened(chart, SampleCoverage.Of(chart), curves, cancel);
        if (even == chart)
        {
            return recorded;
        }

        FitPair[] pairs = [.. recorded.Pairs];
        for (int i = 0; i < onChart.Length; i++)
        {
            pairs[onChart[i]] = even.Pairs[i];
        }

        return recorded.With([.. pairs]);
    }

    // Only visible differences are worth a sentence.
    private static string? PlaceWords(Localities localities)
    {
        const double stops = 0.1, veil = 0.01;
        string[] off = [.. localities.Off.Where(o => Math.Abs(o.Value.Stops) >= stops || Math.Abs(o.Value.Veil) >= veil)
            .OrderByDescending(o => Math.Abs(o.Value.Stops)).ThenBy(o => o.Key, StringComparer.Ordinal)
            .Select(o => string.Create(CultureInfo.InvariantCulture, $"{o.Key} {Math.Abs(o.Value.Stops):0.0} stop {(o.Value.Stops < 0 ? "brighter" : "darker")}{(Math.Abs(o.Value.Veil) >= veil ? string.Create(CultureInfo.InvariantCulture, $", {100 * Math.Abs(o.Value.Veil):0.0} % of white {(o.Value.Veil > 0 ? "less" : "more")} haze") : "")}"))];
        return off.Length == 0
            ? null
            : $"Compared with camera A, camera B changes from place to place in its picture, beyond what colour explains: {string.Join("; ", off)}. The correction fits the mean of the places; no colour correction can remove what affects only one of them.";
    }

    // The base of the lattice: the best cross-validated of the fitted kinds, else the most flexible possible one.
    private static KindFitter BestBelow(
        KindFitter[] parametric,
        List<FittedCandidate> candidates,
        List<double[]?> heldOut,
        SampleCoverage coverage,
        CrossValidation validation)
    {
        KindFitter? best = null;
        double least = double.PositiveInfinity;
        for (int i = 1; i < candidates.Count && validation.IsPossible; i++)
        {
            if (validation.Mean(heldOut[i]!) is double mean && mean < least)
            {
                (least, best) = (mean, parametric.First(f => f.Kind == candidates[i].Correction.Kind));
            }
        }

        return best
            ?? parametric.FirstOrDefault(f => f.Kind == CorrectionKind.CurvesMatrix && f.WhyNot(coverage) is null)
            ?? parametric[0];
    }

    // A lighter grey must not come out darker: checked on the secondary's greys 0..1, at the steps of a LUT.
    private static bool NeutralsRise(Correction correction)
    {
        const int steps = 64;
        const double tolerance = 0.05; // of L*: below what 10-bit video can hold
        double last = double.NegativeInfinity;
        for (int i = 0; i <= steps; i++)
        {
            double lightness = correction.PrimaryEncoding.ToLab(correction.Apply(CodeRgb.Grey(i / (double)steps)).Clamped()).L;
            if (!(lightness >= last - tolerance))
            {
                return false;
            }

            last = Math.Max(last, lightness);
        }

        return true;
    }

    private static void AddMismatches(FittedCandidate advised, ImmutableArray<string>.Builder warnings)
    {
        double limit = MismatchRule.Limit(advised.Train.Median);
        double[] off = [.. advised.PairDeltaE.Where(d => d > limit)];
        if (off.Length > 0 && advised.PairDeltaE.Length >= 12)
        {
            warnings.Add(string.Create(CultureInfo.InvariantCulture,
                $"{off.Length} of the {advised.PairDeltaE.Length} colours compared still differ by more than {limit:0.0} Delta E after the correction: probably they are not the same thing in both pictures. They did not pull the correction; the figures include them."));
        }
    }

    private static void Refuse(SampleSet samples, FitSamples usable, SampleCoverage coverage)
    {
        string found = usable.Count == samples.Pairs.Length
            ? $"{usable.Count}"
            : $"{usable.Count} usable of {samples.Pairs.Length}";
        if (usable.Count < MinPairs)
        {
            throw new NoTrustworthyResultException(
                $"There are too few corresponding colours for a fit: {found}, and at least {MinPairs} are needed. A chart filmed by both cameras gives 24.");
        }

        if (coverage.Unclipped == 0)
        {
            throw new NoTrustworthyResultException(
                $"Every one of the {usable.Count} pairs is clipped in one camera or the other, so their true colours are not known. Take samples from darker places, or film again with less exposure.");
        }

        if (coverage.Distinct < 2)
        {
            throw new NoTrustworthyResultException(
                $"All {usable.Count} pairs show one and the same colour, which says nothing about the others. Add colours: a chart, or light, dark and coloured things seen by both cameras.");
        }
    }

    private static FittedCandidate Candidate(
        FitSamples all, SampleSet samples, Fitted fitted, double[]? heldOut, CrossValidation validation)
    {
        double[] train = Differences(all, fitted.Correction.Apply);
        double[] weights = [.. all.Pairs.Select(p => samples.Pairs[p.Index].Weight)];
        double[] inOrder = new double[samples.Pairs.Length];
        Array.Fill(inOrder, double.NaN);
        for (int i = 0; i < all.Count; i++)
        {
            inOrder[all.Pairs[i].Index] = train[i];
        }

        return new FittedCandidate(
            fitted.Correction,
            DeltaEStatistics.Of(train, weights),
            heldOut is null || !validation.IsPossible ? null : DeltaEStatistics.Of(heldOut, weights),
            heldOut is null || !validation.IsPossible ? null : validation.StandardError(heldOut),
            fitted.HowItEnded)
        {
            PairDeltaE = [.. inOrder],
        };
    }

    private static double[] Differences(FitSamples samples, Func<CodeRgb, CodeRgb> map)
    {
        double[] d = new double[samples.Count];
        for (int i = 0; i < d.Length; i++)
        {
            d[i] = samples.DeltaE(i, map(samples.Pairs[i].Secondary));
        }

        return d;
    }

    // Without cross-validation only kinds with few numbers can be trusted.
    private static int BestOnTraining(List<FittedCandidate> candidates)
    {
        int best = 0;
        for (int i = 1; i < candidates.Count; i++)
        {
            if (candidates[i].Correction.Kind <= CorrectionKind.Gains && candidates[i].Train.Mean < candidates[best].Train.Mean)
            {
                best = i;
            }
        }

        return best;
    }
}
