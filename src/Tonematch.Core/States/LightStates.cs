using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Numerics;

namespace Tonematch.States;

/// <summary>
/// Finds the lighting states over a whole shoot: stretches of time that need different corrections. A change of the
/// light matters only if one correction cannot follow it.
/// </summary>
public static class LightStates
{
    /// <summary>
    /// With more states than this, exposure or white balance drifts instead of changing between states.
    /// </summary>
    public const int Most = 8;

    // Stretches that differ by less need no separate correction, and smaller steps are ignored; stops.
    private const double Alike = 0.1;

    // An instant farther from both its neighbours than this many times the usual distance of neighbours stands alone.
    private const double Lonely = 4;

    // Shortest lighting state, seconds: a song or a speech lasts longer; flashes and people walking through do not
    // count.
    private const double ShortestSeconds = 2;

    // From this change on, stops, the light itself counts as changed; a camera's automatic settings would remove more
    // than half of it.
    private const double LeastChange = 0.1;
    private const double LeastFollowed = 0.5;

    /// <summary>The stretches in time order; a single one if one correction serves all.</summary>
    /// <param name="instants">In any order; at least one.</param>
    /// <exception cref="ArgumentException">There is no instant.</exception>
    public static ImmutableArray<LightStretch> Find(IReadOnlyList<LightInstant> instants)
    {
        ArgumentNullException.ThrowIfNull(instants);
        if (instants.Count == 0)
        {
            throw new ArgumentException("There must be at least one instant.", nameof(instants));
        }

        LightInstant[] seen = [.. WithoutLonely(instants)];
        double length = seen[^1].Seconds - seen[0].Seconds;
        int shortest = Math.Max(2, length > 0 ? (int)Math.Ceiling(ShortestSeconds * (seen.Length - 1) / length) : 2);
        int[] edges = [0, .. StepFinder.Find([.. seen.Select(i => i.Stops)], Alike, shortest), seen.Length];
        List<(int From, int To)> stretches = [.. edges.Zip(edges.Skip(1))];
        int[] states = Grouped([.. stretches.Select(s => LightInstant.Middle(seen[s.From..s.To]))], [.. stretches.Select(s => s.To - s.From)]);
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

    /// <summary>
    /// The instants that may belong to a state. One unlike both its neighbours, which are more like each other, does not:
    /// its two frames lie on either side of a change of the light, or something passed by.
    /// </summary>
    /// <param name="instants">In any order.</param>
    /// <returns>In order of time.</returns>
    public static ImmutableArray<LightInstant> WithoutLonely(IEnumerable<LightInstant> instants)
    {
        LightInstant[] seen = [.. instants.OrderBy(i => i.Seconds)];
        if (seen.Length < 3)
        {
            return [.. seen];
        }

        // Noise makes many instants unlike their neighbours.
        double unlike = Math.Max(Alike * Alike, Lonely * Lonely * Median.Of(seen.Zip(seen.Skip(1), (x, y) => LightInstant.Squared(x.Stops, y.Stops))));
        return [.. seen.Where((_, k) => k == 0 || k == seen.Length - 1 || !IsLonely(seen[k - 1].Stops, seen[k].Stops, seen[k + 1].Stops))];

        bool IsLonely(double[] before, double[] here, double[] after)
        {
            double nearest = Math.Min(LightInstant.Squared(before, here), LightInstant.Squared(here, after));
            return nearest > unlike && nearest > LightInstant.Squared(before, after);
        }
    }

    /// <summary>The state at a given time: of the stretch around it, otherwise of the nearest one.</summary>
    /// <param name="stretches">At least one.</param>
    /// <param name="seconds">On the stretches' clock.</param>
    public static int At(ImmutableArray<LightStretch> stretches, double seconds) => stretches.MinBy(s => s.Distance(seconds))!.State;

    /// <summary>
    /// Whether the light itself changed together with the states: both cameras saw the change, the secondary at least
    /// half as much as the primary. Otherwise a camera changed its automatic settings.
    /// </summary>
    /// <param name="stretches">States over the secondary's time.</param>
    /// <param name="instants">Objects followed in both, the secondary as recorded.</param>
    /// <param name="primary">What the primary's code values mean.</param>
    /// <param name="secondary">What the secondary's code values mean.</param>
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
    /// Whether an apparent drift of the secondary is really a change of the room's light: the secondary is steady in
    /// each of a few lighting states whose changes both cameras saw, and one correction per state is as good as
    /// following a drift.
    /// </summary>
    /// <param name="measured">The drift measured at every instant separately, in the secondary's time.</param>
    /// <param name="instants">The colours it was measured from.</param>
    /// <param name="primary">What the primary's code values mean.</param>
    /// <param name="secondary">What the secondary's code values mean.</param>
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

        double[] whole = LightInstant.Middle(course);
        double all = course.Sum(i => LightInstant.Squared(i.Stops, whole));
        double left = course.GroupBy(i => At(stretches, i.Seconds)).Sum(g => LightInstant.Middle([.. g]) is var middle ? g.Sum(i => LightInstant.Squared(i.Stops, middle)) : 0);
        return left <= (1 - LeastExplained) * all && BothSaw(stretches, instants, primary, secondary);
    }

    // The rest may be noise and the fading in of lights.
    private const double LeastExplained = 0.8;

    // Joins the two nearest groups until all differ; groups are numbered in order of first appearance.
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
                double apart = Math.Sqrt(LightInstant.Squared(groups[a].Middle, groups[b].Middle));
                best = apart < best.Apart ? (a, b, apart) : best;
            }
        }

        return best;
    }

    private static DriftInstant[] Inside(LightStretch stretch, IReadOnlyList<DriftInstant> instants) => [.. instants.Where(i => stretch.Distance(i.Seconds) == 0)];

    // The change of light on the objects from one stretch to the next, as recorded by each camera: exposure, red and
    // blue relative to green, as medians over objects seen in both stretches.
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
