using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;

namespace Tonematch.Drift;

/// <summary>What following a course gains over one constant correction, on average and over time.</summary>
/// <param name="ConstantMean">Mean CIEDE2000 with the best constant correction: one fitted with the course in it.</param>
/// <param name="FollowingMean">The same when the course is taken out first, with the correction that expects that.</param>
/// <param name="FileAloneMean">The same with that correction alone, the course left in: what its file does in an editor.</param>
/// <param name="OverTime">Both over time: <see cref="MostPoints"/> points at most, each the mean of its stretch.</param>
public sealed record DriftGain(double ConstantMean, double FollowingMean, double FileAloneMean, ImmutableArray<DriftLeft> OverTime)
{
    /// <summary>A person sees no more on a page, and a program can compute its own from the clips.</summary>
    public const int MostPoints = 240;

    // Less than this is within what another choice of places would give.
    private const double LeastShare = 0.03;

    /// <summary>Following leaves clearly less than the best constant correction.</summary>
    public bool IsWorthFollowing => FollowingMean < (1 - LeastShare) * Math.Min(ConstantMean, FileAloneMean);

    /// <summary>Measures it on things that both cameras followed.</summary>
    /// <param name="instants">In order of time; those without colours are passed over.</param>
    /// <param name="primary">What the primary's code values mean.</param>
    /// <param name="secondary">What the secondary's mean.</param>
    /// <param name="constant">The correction fitted with the course in it: secondary code values to primary-like ones.</param>
    /// <param name="following">The correction fitted to colours without it.</param>
    /// <param name="track">The course.</param>
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
