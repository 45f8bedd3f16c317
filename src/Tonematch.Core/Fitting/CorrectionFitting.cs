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
/// Fits every kind of correction to corresponding colours, judges each on colours it was not fitted to, and advises one.
/// </summary>
public static class CorrectionFitting
{
    private const int MinPairs = 3;

    private const int MostOfOneBoard = 140;

    // A picture style that is the same everywhere is followed by some kind to less than what is seen side by side. More is
    // left on unseen patches where the place has a part in it.
    private const double LeastOfPlaces = 1;

    // More pairs than this are condensed for the last step of a fit, which takes as long as they are many and then says
    // no more; they are judged one by one all the same.
    private const int MostFitted = 4000;

    private const string TooRichForWholePictures =
        "The pictures were compared as a whole, which tells how bright and how colourful they are, not which colour became which: so rich a kind would take what they show for what the cameras do.";

    // Simple to rich; the lattice comes after them, on the best of them.
    private static readonly KindFitter[] s_parametric =
    [
        new ParametricFitter(CorrectionKind.Gains, _ => new GainsModel(), 1, needsColours: false),
        new ParametricFitter(CorrectionKind.LiftGammaGain, _ => new LiftGammaGainModel(), 4, needsColours: false),
        new ParametricFitter(CorrectionKind.Cdl, _ => new CdlModel(), 4, needsColours: false),
        new ParametricFitter(CorrectionKind.Matrix, s => new MatrixModel(s), 4, needsColours: true),
        new ParametricFitter(CorrectionKind.CurvesMatrix, s => new CurvesMatrixModel(s), 5, needsColours: true),
        new ParametricFitter(CorrectionKind.RootPolynomial, s => new RootPolynomialModel(s), 6, needsColours: true),
    ];

    /// <summary>The fitter of a kind and those of the simpler ones, from rich to simple; for the lattice those of what it mostly stands on.</summary>
    internal static IEnumerable<KindFitter> FittersDownFrom(CorrectionKind kind)
    {
        CorrectionKind first = kind == CorrectionKind.Lattice ? CorrectionKind.CurvesMatrix : kind;
        return s_parametric.Take(Math.Max(0, Array.FindIndex(s_parametric, f => f.Kind == first)) + 1).Reverse();
    }

    /// <summary>Fits the kinds asked for and advises the simplest one that is as good as the best.</summary>
    /// <param name="samples">Corresponding colours. Their order does not matter.</param>
    /// <param name="options">Which kinds, and how.</param>
    /// <param name="cancel">Stops the fit.</param>
    /// <param name="progress">Told which share of the kinds is done, 0..1.</param>
    /// <returns>
    /// Statistics are CIEDE2000 between what is seen of the primary and of the corrected secondary, both limited to the
    /// signal's 0..1, weighted by the pairs' own weights; those of pairs left out are as if the light had been even on a
    /// chart where it was not. Doing nothing is always the first candidate.
    /// </returns>
    /// <remarks>
    /// Choice: L. Breiman, J. Friedman, R. Olshen and C. Stone, 'Classification and Regression Trees', 1984, 3.4.3: the
    /// simplest kind within one standard error of the best cross-validated mean; here the standard error of the
    /// difference between the two on the same groups, which is the sharper test.
    /// </remarks>
    /// <exception cref="NoTrustworthyResultException">The samples cannot carry any fit: too few, all of one colour, all clipped.</exception>
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
            warnings.Add($"{unusable} of {samples.Pairs.Length} pairs hold no usable number or no weight and were left out.");
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
                    $"The light falls differently on the chart in the two pictures, by up to {100 * (Shading.Range(recorded, all) - 1):0} % from one patch to another. This was taken out before fitting; no correction of colour can remove it from the pictures."));
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
            warnings.Add("Too few different things were compared (fewer than three) to try the correction on colours it was not made from. Only the simplest kinds are advised; compare more things.");
        }

        List<FittedCandidate> candidates = [];
        List<double[]?> heldOut = [];
        List<bool> safe = [];
        List<KindFitter?> fitters = [];
        ImmutableArray<(CorrectionKind, string)>.Builder notFitted = ImmutableArray.CreateBuilder<(CorrectionKind, string)>();
        void Add(Fitted fitted, double[]? left, double[]? leftAsRecorded, KindFitter? by)
        {
            fitters.Add(by);
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
            // Planning and condensing came first, the lattice comes last: one share each.
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
            && (candidates[advised].CrossValidated ?? candidates[advised].Train).Mean >= LeastOfPlaces
            && candidates[advised].Correction.Kind is not (CorrectionKind.Identity or CorrectionKind.Gains or CorrectionKind.Matrix)
            && candidates.FindIndex(c => c.Correction.Kind == CorrectionKind.Matrix) is int stiff and > 0
            && OneBoardFitter.Veiled(candidates[stiff].Correction) is double veiled and >= OneBoardFitter.Least)
        {
            // It takes the place of the lattice, which is no better off the board than the kind below it.
            KindFitter rich = fitters[advised]!;
            if (candidates.FindIndex(c => c.Correction.Kind == CorrectionKind.Lattice) is int lattice and > 0)
            {
                candidates.RemoveAt(lattice);
                heldOut.RemoveAt(lattice);
                fitters.RemoveAt(lattice);
                safe.RemoveAt(lattice);
            }

            Try(new OneBoardFitter(rich, fitters[stiff]!, options.LatticeNodes));
            advised = safe[^1] ? candidates.Count - 1 : stiff;
            warnings.Add(string.Create(CultureInfo.InvariantCulture,
                $"One of the two pictures is veiled on what was compared (a haze of {100 * OneBoardFitter.VeilOf(candidates[stiff].Correction):0.0} % of white), and such a haze is not the same everywhere. So greys are corrected only by what an even haze explains of it, not by all that these {all.Count} colours show. Compare what lies elsewhere in the picture too, or shade the lenses next time."));
        }

        AddMismatches(candidates[advised], warnings);
        UnseenPlaces unseen = new(evenlyLit, localities);
        ImmutableArray<FittedPlace> places = [];
        for (int k = 0; k < candidates.Count && unseen.IsPossible; k++)
        {
            cancel.ThrowIfCancellationRequested();
            double[]?[] left = unseen.Differences(fitters[k], identity, cancel);
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

    // All of one board, which shares one haze: a chart is; pairs given by hand are taken for it when they are as few as the patches of the
    // largest charts. The lifted black of a log profile is no haze.
    private static bool MayBeVeiled(SampleSet samples) =>
        !samples.PrimaryLooksLog && !samples.SecondaryLooksLog
        && (samples.Method == SamplingMethod.Chart || (samples.Method == SamplingMethod.Given && samples.Pairs.Length <= MostOfOneBoard))
        && samples.Pairs.All(p => p.Locality.Length == 0 || SampleLocality.IsChart(p.Locality));

    // Light that falls unevenly on the chart is told from colour by the chart's patches alone; the other pairs stay as they are.
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

    // Only what can be seen is worth a sentence.
    private static string? PlaceWords(Localities localities)
    {
        const double stops = 0.1, veil = 0.01;
        string[] off = [.. localities.Off.Where(o => Math.Abs(o.Value.Stops) >= stops || Math.Abs(o.Value.Veil) >= veil)
            .OrderByDescending(o => Math.Abs(o.Value.Stops)).ThenBy(o => o.Key, StringComparer.Ordinal)
            .Select(o => string.Create(CultureInfo.InvariantCulture, $"{o.Key} {Math.Abs(o.Value.Stops):0.0} stop {(o.Value.Stops < 0 ? "brighter" : "darker")}{(Math.Abs(o.Value.Veil) >= veil ? string.Create(CultureInfo.InvariantCulture, $", {100 * Math.Abs(o.Value.Veil):0.0} % of white {(o.Value.Veil > 0 ? "less" : "more")} haze") : "")}"))];
        return off.Length == 0
            ? null
            : $"Camera B differs from place to place, against camera A and beyond what colour explains: {string.Join("; ", off)}. The correction is for the mean of the places; no correction of colour can take out what belongs to one of them.";
    }

    // The kind that the lattice stands on: the best cross-validated of those fitted, else the richest that can be.
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

    // A lighter grey must not come out darker: checked where samples are made of it, on the secondary's greys 0..1.
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

    // Without cross-validation only what has few numbers can be trusted.
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
