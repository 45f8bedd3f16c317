using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;

namespace Tonematch.Drift;

/// <summary>What following a drift gains over one constant correction, on average and over time.</summary>
/// <param name="ConstantMean">Mean CIEDE2000 with the best constant correction: one fitted to the drifting colours.</param>
/// <param name="FollowingMean">The same when the drift is removed first, with the correction made for that.</param>
/// <param name="FileAloneMean">The same with that correction alone and the drift left in, as in an editor.</param>
/// <param name="OverTime">Both over time: <see cref="MostPoints"/> points at most, each the mean of its section.</param>
public sealed record DriftGain(double ConstantMean, double FollowingMean, double FileAloneMean, ImmutableArray<DriftLeft> OverTime)
{
    /// <summary>More cannot be seen on a page, and a program can compute its own from the clips.</summary>
    public const int MostPoints = 240;

    // A smaller gain is within the variation between different choices of places.
    private const double LeastShare = 0.03;

    /// <summary>Whether following leaves clearly less than the best constant correction, and little enough.</summary>
    /// <remarks>
    /// What leaves another colour is no drift: the cameras differ by more than exposure and white balance there, such as
    /// coloured light that only one of them saw, and a course through it would be made up.
    /// </remarks>
    public bool IsWorthFollowing =>
        FollowingMean < DeltaEScale.AnotherColour && FollowingMean < (1 - LeastShare) * Math.Min(ConstantMean, FileAloneMean);

    /// <summary>Measures it on objects followed in both cameras.</summary>
    /// <param name="instants">In order of time; those without colours are skipped.</param>
    /// <param name="primary">What the primary's code values mean.</param>
    /// <param name="secondary">What the secondary's code values mean.</param>
    /// <param name="constant">The correction fitted to the drifting colours: secondary code values to primary-like ones.</param>
    /// <param name="following">The correction fitted to colours without the drift.</param>
    /// <param name="track">The drift.</param>
    /// <exception cref="ArgumentException">There are no colours.</exception>
    public static DriftGain Of(
        IReadOnlyList<DriftInstant> instants, SignalEncoding primary, SignalEncoding secondary,
        Func<CodeRgb, CodeRgb> constant, Func<CodeRgb, CodeRgb> following, DriftTrack track)
    {
        ArgumentNullException.ThrowIfNull(instants);
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(constant);
        ArgumentNullException.ThrowIfNull(following);
        ArgumentNullException.ThrowIfNull(track);
        DriftInstant[] seen = [.. instants.Where(i => !i.Samples.IsEmpty)];
        if (seen.Length == 0)
        {
            throw new ArgumentException("There must be at least one colour.", nameof(instants));
        }

        (double Constant, double Following, double Alone)[] sums = new (double, double, double)[seen.Length];
        Parallel.For(0, seen.Length, k =>
        {
            DriftValue drift = track.At(seen[k].Seconds);
            foreach (DriftSample s in seen[k].Samples)
            {
                Lab wanted = primary.ToLab(s.Primary.Clamped());
                double Off(CodeRgb corrected) => DeltaE2000.Between(wanted, primary.ToLab(corrected.Clamped()));
                sums[k].Constant += Off(constant(s.Secondary));
                sums[k].Following += Off(following(drift.TakeOutOf(s.Secondary, secondary)));
                sums[k].Alone += Off(following(s.Secondary));
            }
        });

        double all = seen.Sum(i => i.Samples.Length);
        int points = Math.Min(MostPoints, seen.Length);
        return new DriftGain(
            sums.Sum(s => s.Constant) / all, sums.Sum(s => s.Following) / all, sums.Sum(s => s.Alone) / all,
            [.. Enumerable.Range(0, points).Select(p => Mean((int)((long)p * seen.Length / points), (int)((long)(p + 1) * seen.Length / points)))]);

        DriftLeft Mean(int from, int to)
        {
            double count = seen[from..to].Sum(i => i.Samples.Length);
            return new DriftLeft(seen[from..to].Average(i => i.Seconds), sums[from..to].Sum(s => s.Constant) / count, sums[from..to].Sum(s => s.Following) / count);
        }
    }
}
