using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Numerics;

namespace Tonematch.States;

/// <summary>
/// Finds the states of the light over a whole shoot: stretches in which the cameras need another correction than before. What
/// the light itself does matters only as far as one correction does not follow it.
/// </summary>
public static class LightStates
{
    /// <summary>More states than this are no states of a light: something wanders.</summary>
    public const int Most = 8;

    // Stretches that differ by less need no correction of their own, and a step that is smaller is none; stops.
    private const double Alike = 0.1;

    // A light lasts: a song, a speech. Flashes and people who walk through it are none.
    private const double ShortestSeconds = 2;

    // From this on the light itself is said to have changed, stops; and a camera that sets itself takes out more than half.
    private const double LeastChange = 0.1;
    private const double LeastFollowed = 0.5;

    /// <summary>The stretches, in order of time; a single one where one correction does for all.</summary>
    /// <param name="instants">In any order; at least one.</param>
    /// <exception cref="ArgumentException">There is no instant.</exception>
    public static ImmutableArray<LightStretch> Find(IReadOnlyList<LightInstant> instants)
    {
        ArgumentNullException.ThrowIfNull(instants);
        if (instants.Count == 0)
        {
            throw new ArgumentException("There must be at least one instant.", nameof(instants));
        }

        LightInstant[] seen = [.. instants.OrderBy(i => i.Seconds)];
        double length = seen[^1].Seconds - seen[0].Seconds;
        int shortest = Math.Max(2, length > 0 ? (int)Math.Ceiling(ShortestSeconds * (seen.Length - 1) / length) : 2);
        int[] edges = [0, .. StepFinder.Find([.. seen.Select(Vector)], Alike, shortest), seen.Length];
        List<(int From, int To)> stretches = [.. edges.Zip(edges.Skip(1))];
        int[] states = Grouped([.. stretches.Select(s => Middle(seen[s.From..s.To]))], [.. stretches.Select(s => s.To - s.From)]);
        if (states.Max() >= Most)
        {
            return [new LightStretch(seen[0].Seconds, seen[^1].Seconds, 0)];
        }

        ImmutableArray<LightStretch>.Builder found = ImmutableArray.CreateBuilder<LightStretch>();
        for (int k = 0; k < stretches.Count; k++)
        {
            double from = k == 0 ? seen[0].Seconds : (seen[stretches[k].From - 1].Seconds + seen[stretches[k].From].Seconds) / 2;
            double to = k == stretches.Count - 1 ? seen[^1].Seconds : (seen[stretches[k].To - 1].Seconds + seen[stretches[k].To].Seconds) / 2;
            if (found.Count > 0 && found[^1].State == states[k])
            {
                found[^1] = found[^1] with { ToSeconds = to };
            }
            else
            {
                found.Add(new LightStretch(from, to, states[k]));
            }
        }

        return found.ToImmutable();
    }

    /// <summary>The state at a time: of the stretch it lies in, else of the nearest one.</summary>
    /// <param name="stretches">At least one.</param>
    /// <param name="seconds">On the stretches' clock.</param>
    public static int At(ImmutableArray<LightStretch> stretches, double seconds) => stretches.MinBy(s => s.Distance(seconds))!.State;

    /// <summary>
    /// Whether the light itself changed where the states do: both cameras saw it, the secondary at least half as much as the
    /// primary. Where it did not, or where the secondary took it out again, a camera set itself.
    /// </summary>
    /// <param name="stretches">States over the secondary's time.</param>
    /// <param name="instants">Things that both followed, the secondary as recorded.</param>
    /// <param name="primary">What the primary's code values mean.</param>
    /// <param name="secondary">What the secondary's mean.</param>
    public static bool BothSaw(
        ImmutableArray<LightStretch> stretches, IReadOnlyList<DriftInstant> instants, SignalEncoding primary, SignalEncoding secondary)
    {
        ArgumentNullException.ThrowIfNull(instants);
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        int changes = 0, seen = 0;
        for (int k = 0; k + 1 < stretches.Length; k++)
        {
            (double[] a, double[] b) = Change(Inside(stretches[k], instants), Inside(stretches[k + 1], instants), primary, secondary);
            double size = Dot(a, a);
            changes++;
            seen += size >= LeastChange * LeastChange && Dot(a, b) >= LeastFollowed * size ? 1 : 0;
        }

        return changes > 0 && seen >= 0.8 * changes;
    }

    /// <summary>
    /// Whether what looks like a secondary that wanders is the light of the room: it holds still in each of a few states of a
    /// light that both cameras saw change, and one correction for each state does what following would.
    /// </summary>
    /// <param name="measured">Every instant of a course by itself, in the secondary's time.</param>
    /// <param name="instants">What it was measured from.</param>
    /// <param name="primary">What the primary's code values mean.</param>
    /// <param name="secondary">What the secondary's mean.</param>
    public static bool Explain(ImmutableArray<DriftPoint> measured, IReadOnlyList<DriftInstant> instants, SignalEncoding primary, SignalEncoding secondary)
    {
        if (measured.IsDefaultOrEmpty)
        {
            return false;
        }

        LightInstant[] course = [.. measured.Select(p =>
        {
            (double r, double g, double b) = p.Value.ToChannelStops();
            return new LightInstant(p.Seconds, g, r - g, b - g);
        })];
        ImmutableArray<LightStretch> stretches = Find(course);
        if (stretches.Length < 2)
        {
            return false;
        }

        double[] whole = Middle(course);
        double all = course.Sum(i => Squared(Vector(i), whole));
        double left = course.GroupBy(i => At(stretches, i.Seconds)).Sum(g => Middle([.. g]) is var middle ? g.Sum(i => Squared(Vector(i), middle)) : 0);
        return left <= (1 - LeastExplained) * all && BothSaw(stretches, instants, primary, secondary);
    }

    // The rest may be noise and how a light comes up.
    private const double LeastExplained = 0.8;

    private static double Squared(double[] a, double[] b) => a.Zip(b, (x, y) => (x - y) * (x - y)).Sum();

    private static double[] Vector(LightInstant i) => [i.ExposureStops, i.RedGreenStops, i.BlueGreenStops];

    private static double[] Middle(LightInstant[] instants) =>
        [Median.Of(instants.Select(i => i.ExposureStops)), Median.Of(instants.Select(i => i.RedGreenStops)), Median.Of(instants.Select(i => i.BlueGreenStops))];

    // Joins the two groups that are nearest until all differ; numbers in the order in which they first come.
    private static int[] Grouped(double[][] middles, int[] counts)
    {
        List<(double[] Middle, double Count, List<int> Members)> groups = [.. middles.Select((m, i) => (m, (double)counts[i], new List<int> { i }))];
        while (groups.Count > 1)
        {
            (int a, int b, double apart) = Nearest(groups);
            if (apart >= Alike)
            {
                break;
            }

            (double[] first, double n, List<int> members) = groups[a];
            (double[] second, double m, List<int> others) = groups[b];
            groups[a] = ([.. first.Zip(second, (x, y) => ((n * x) + (m * y)) / (n + m))], n + m, [.. members, .. others]);
            groups.RemoveAt(b);
        }

        int[] states = new int[middles.Length];
        foreach ((List<int> members, int state) in groups.Select(g => g.Members).OrderBy(g => g.Min()).Select((g, i) => (g, i)))
        {
            members.ForEach(i => states[i] = state);
        }

        return states;
    }

    private static (int A, int B, double Apart) Nearest(List<(double[] Middle, double Count, List<int> Members)> groups)
    {
        (int A, int B, double Apart) best = (0, 1, double.PositiveInfinity);
        for (int a = 0; a < groups.Count; a++)
        {
            for (int b = a + 1; b < groups.Count; b++)
            {
                double apart = Math.Sqrt(Squared(groups[a].Middle, groups[b].Middle));
                best = apart < best.Apart ? (a, b, apart) : best;
            }
        }

        return best;
    }

    private static DriftInstant[] Inside(LightStretch stretch, IReadOnlyList<DriftInstant> instants) => [.. instants.Where(i => stretch.Distance(i.Seconds) == 0)];

    // How the light of the things changes from one stretch to the next, as each camera recorded it: exposure, red and blue
    // against green, medians over what is seen in both.
    private static (double[] Primary, double[] Secondary) Change(DriftInstant[] before, DriftInstant[] after, SignalEncoding primary, SignalEncoding secondary)
    {
        Dictionary<int, (double[] A, double[] B)> first = Levels(before, primary, secondary), second = Levels(after, primary, secondary);
        int[] both = [.. first.Keys.Where(second.ContainsKey)];
        double[] Of(Func<(double[] A, double[] B), double[]> camera) => both.Length == 0
            ? [0, 0, 0]
            : [.. Enumerable.Range(0, 3).Select(c => Median.Of(both.Select(p => camera(second[p])[c] - camera(first[p])[c])))];
        return (Of(l => l.A), Of(l => l.B));
    }

    private static Dictionary<int, (double[] A, double[] B)> Levels(DriftInstant[] instants, SignalEncoding primary, SignalEncoding secondary) => instants
        .SelectMany(i => i.Samples)
        .GroupBy(s => s.Place)
        .ToDictionary(g => g.Key, g => (Level([.. g.Select(s => s.Primary)], primary), Level([.. g.Select(s => s.Secondary)], secondary)));

    private static double[] Level(CodeRgb[] codes, SignalEncoding encoding)
    {
        static double Stops(double light) => Math.Log2(Math.Max(1e-4, light));
        double r = Median.Of(codes.Select(c => Stops(encoding.ToScene(c.R)))), g = Median.Of(codes.Select(c => Stops(encoding.ToScene(c.G)))),
            b = Median.Of(codes.Select(c => Stops(encoding.ToScene(c.B))));
        return [g, r - g, b - g];
    }

    private static double Dot(double[] a, double[] b) => a.Zip(b, (x, y) => x * y).Sum();
}
