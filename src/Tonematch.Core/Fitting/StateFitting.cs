using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>
/// Decides whether lighting states need separate corrections, with the same groups left out and the same rule as for
/// the kinds.
/// </summary>
public static class StateFitting
{
    private const int MostFitted = 600;

    /// <summary>Compares the two.</summary>
    /// <param name="samples">Corresponding colours of all states.</param>
    /// <param name="states">The state of each pair, from 0.</param>
    /// <param name="kind">The kind advised for all of them together.</param>
    /// <param name="cancel">Stops the fits.</param>
    /// <returns>Null if it cannot be decided: too few groups, or only one state.</returns>
    /// <exception cref="ArgumentException">The numbers of states and pairs differ.</exception>
    public static StateComparison? Compare(SampleSet samples, IReadOnlyList<int> states, CorrectionKind kind, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentNullException.ThrowIfNull(states);
        if (states.Count != samples.Pairs.Length)
        {
            throw new ArgumentException("Each pair has a state.", nameof(states));
        }

        FitSamples all = FitSamples.From(samples, FitOptions.Default);
        int[] state = [.. all.Pairs.Select(p => states[p.Index])];
        CrossValidation validation = CrossValidation.Plan(all, FitOptions.Default.Folds);
        if (!validation.IsPossible || state.Distinct().Count() < 2)
        {
            return null;
        }

        // Both sides use one kind, because a more flexible one for a single state would win by its flexibility. The
        // lattice sits on another kind and adds nothing where a few colours are left out.
        double[] together = new double[all.Count], apart = new double[all.Count];
        foreach (KindFitter fitter in CorrectionFitting.FittersDownFrom(kind))
        {
            int failed = 0;
            Parallel.For(0, validation.Folds, new ParallelOptions { CancellationToken = cancel }, fold =>
            {
                if (!LeaveOut(fold, fitter))
                {
                    Interlocked.Increment(ref failed);
                }
            });
            if (failed == 0)
            {
                // The rule begins with doing nothing, which does not apply here.
                bool isPerState = validation.Simplest([null, together, apart], [false, true, true]) == 2;
                return new StateComparison(fitter.Kind, validation.Mean(together), validation.Mean(apart), isPerState);
            }
        }

        return null;

        bool LeaveOut(int fold, KindFitter fitter)
        {
            int[] rest = [.. Enumerable.Range(0, all.Count).Where(i => validation.FoldOf(i) != fold)], left = [.. Enumerable.Range(0, all.Count).Where(i => validation.FoldOf(i) == fold)];
            if (Map(fitter, all, rest, cancel) is not { } one)
            {
                return false;
            }

            foreach (IGrouping<int, int> own in left.GroupBy(i => state[i]))
            {
                // A state whose pairs are all left out uses the correction for all.
                int[] same = [.. rest.Where(i => state[i] == own.Key)];
                if ((same.Length == 0 ? one : Map(fitter, all, same, cancel)) is not { } each)
                {
                    return false;
                }

                foreach (int i in own)
                {
                    together[i] = all.DeltaE(i, one(all.Pairs[i].Secondary));
                    apart[i] = all.DeltaE(i, each(all.Pairs[i].Secondary));
                }
            }

            return true;
        }
    }

    private static Func<CodeRgb, CodeRgb>? Map(KindFitter fitter, FitSamples all, int[] which, CancellationToken cancel)
    {
        FitSamples some = all.Subset(which).Condensed(MostFitted).Normalised();
        return fitter.WhyNot(SampleCoverage.Of(some)) is null ? fitter.Fit(some, null, cancel).Map : null;
    }
}
