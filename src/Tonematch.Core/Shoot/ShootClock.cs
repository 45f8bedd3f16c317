using System.Collections.Immutable;
using System.Globalization;
using MathNet.Numerics.LinearAlgebra;
using Tonematch.Numerics;
using Tonematch.Sync;

namespace Tonematch.Shoot;

/// <summary>
/// Puts all clips of a shoot on one clock from their meetings: each device has one rate, each clip one place; loops
/// must close, and a device cannot record twice at one time. Contradictory meetings are left out and named, never
/// averaged in.
/// </summary>
/// <remarks>
/// The most credible meetings join the clips into a tree; the others close loops and either support or contradict it.
/// Places and rates are then the weighted least-squares solution of all that agree (C. F. Gauss). The shoot's time is
/// the first camera's: its first clip begins at 0.
/// </remarks>
public static class ShootClock
{
    // Places that differ by less than this are equal: two microphones ten metres apart hear the same sound up to 29 ms
    // apart, in either direction as the source moves.
    private const double LoopSeconds = 0.04;

    // Expected size of a device's rate, parts per million, before anything is measured (common practice).
    private const double UsualRatePpm = 50;

    // No device records twice at one time, but a clip's stated length may be a few frames too long.
    private const double OverlapAllowedSeconds = 0.25;

    // A device's own clock is not trusted further than this from what was heard, seconds.
    private const double AnotherDaySeconds = 12 * 3600;

    // A split recording continues within this, seconds.
    private const double JoinSeconds = 0.08;

    // Log-odds limit of one meeting: its error probability is never below one in two thousand.
    private const double MostLogit = 7.6;

    // Log-odds by which two independent meetings that agree to 40 ms support each other: by chance this happens once in
    // a thousand times, out of a minute or more of possible offsets.
    private const double AgreementLogit = 7;

    // A meeting that is this much more likely than one that contradicts it is not in doubt.
    private const double DoubtLogit = 2;

    /// <summary>Places the clips.</summary>
    /// <param name="clips">All clips; the camera of the first one defines the clock.</param>
    /// <param name="meetings">The meetings between pairs of them.</param>
    /// <exception cref="ArgumentException">There are no clips, or a meeting names one that does not exist.</exception>
    public static ShootTimes Solve(IReadOnlyList<ShootClip> clips, IReadOnlyList<Meeting> meetings)
    {
        ArgumentNullException.ThrowIfNull(clips);
        ArgumentNullException.ThrowIfNull(meetings);
        if (clips.Count == 0)
        {
            throw new ArgumentException("There must be at least one clip.", nameof(clips));
        }

        foreach (Meeting m in meetings)
        {
            if (m.First < 0 || m.First >= clips.Count || m.Second < 0 || m.Second >= clips.Count || m.First == m.Second)
            {
                throw new ArgumentException("A meeting names two different clips of the shoot.", nameof(meetings));
            }
        }

        string[] devices = [.. clips.Select(c => c.Camera).Distinct(StringComparer.Ordinal)];
        int[] deviceOf = [.. clips.Select(c => Array.IndexOf(devices, c.Camera))];
        double[] rough = RoughRates(meetings, deviceOf, devices.Length);
        Joining joining = new(clips, meetings, deviceOf, rough);
        joining.Run();
        return Placed(clips, meetings, devices, deviceOf, rough, joining);
    }

    // Robust rates from the measured drifts alone: each device's rate is the median over its meetings.
    private static double[] RoughRates(IReadOnlyList<Meeting> meetings, int[] deviceOf, int devices)
    {
        double[] rates = new double[devices];
        for (int round = 0; round < 20; round++)
        {
            for (int d = 1; d < devices; d++)
            {
                List<double> said = [];
                foreach (Meeting m in meetings.Where(IsDriftKnown))
                {
                    (int a, int b) = (deviceOf[m.First], deviceOf[m.Second]);
                    if (b == d && a != d)
                    {
                        said.Add(rates[a] + m.Sync.DriftPpm);
                    }
                    else if (a == d && b != d)
                    {
                        said.Add(rates[b] - m.Sync.DriftPpm);
                    }
                }

                rates[d] = said.Count > 0 ? Median.Of(said) : 0;
            }
        }

        return rates;
    }

    private static bool IsDriftKnown(Meeting m) => m.Sync.Evidence.DriftErrorPpm > 0 && double.IsFinite(m.Sync.Evidence.DriftErrorPpm);

    private static double Logit(double confidence) =>
        Math.Min(MostLogit, Math.Log(Math.Max(confidence, 1e-6) / Math.Max(1e-6, 1 - confidence)));

    // Start of the second minus start of the first in the shoot's time, from one meeting.
    private static double Apart(Meeting m, int[] deviceOf, double[] ratesPpm)
    {
        double t = m.MiddleSeconds;
        return (t / (1 + (ratesPpm[deviceOf[m.First]] * 1e-6))) - (m.Sync.SecondaryTime(t) / (1 + (ratesPpm[deviceOf[m.Second]] * 1e-6)));
    }

    private static ShootTimes Placed(
        IReadOnlyList<ShootClip> clips, IReadOnlyList<Meeting> meetings, string[] devices, int[] deviceOf, double[] rough, Joining joining)
    {
        int n = clips.Count;
        int[] used = [.. Enumerable.Range(0, meetings.Count).Where(joining.IsUsed)];

        // Island 0 holds most of the first camera's clips; its first clip begins at 0.
        int[] roots = [.. Enumerable.Range(0, n).Select(joining.Root)];
        int main = Enumerable.Range(0, n).Where(i => deviceOf[i] == 0)
            .GroupBy(i => roots[i]).OrderByDescending(g => roots.Count(r => r == g.Key)).ThenBy(g => g.Min()).First().Key;
        List<int> islands = [main, .. roots.Distinct().Where(r => r != main)];
        int anchor = Enumerable.Range(0, n).Where(i => roots[i] == main && deviceOf[i] == 0).MinBy(joining.PlaceOf);
        int[] held = [anchor, .. islands.Skip(1)];
        (double[] starts, double[] startErrors, double[] rates, double[] rateErrors) = LeastSquares(clips, meetings, devices.Length, deviceOf, rough, joining, used, held);
        double zero = starts[anchor];
        DeviceClock[] clocks = [.. devices.Select((name, d) => Clock(name, d))];
        PlacedClip[] placed = [.. Enumerable.Range(0, n).Select(Place)];
        for (int i = 0; i < n; i++)
        {
            placed[i] = placed[i] with { Continues = Previous(i), Doubts = [.. placed[i].Doubts, .. ClockDoubts(i)] };
        }

        return new ShootTimes([.. placed], [.. clocks], [.. joining.Refused], [.. joining.LoopErrors]);

        DeviceClock Clock(string name, int device)
        {
            double[] offsets = [.. Enumerable.Range(0, n)
                .Where(i => deviceOf[i] == device && roots[i] == main && clips[i].DeviceTime is not null && (i == anchor || used.Any(u => meetings[u].First == i || meetings[u].Second == i)))
                .Select(i => starts[i] - zero - (clips[i].DeviceTime!.Seconds / (1 + (rates[device] * 1e-6))))];
            double? offset = offsets.Length > 0 ? Median.Of(offsets) : null;
            double spread = offset is double o ? Median.Of(offsets.Select(x => Math.Abs(x - o))) : 0;
            return new DeviceClock(name, rates[device], rateErrors[device], offset, spread);
        }

        PlacedClip Place(int i)
        {
            double rate = rates[deviceOf[i]];
            ImmutableArray<int> own = [.. used.Where(u => meetings[u].First == i || meetings[u].Second == i)];
            int island = islands.IndexOf(roots[i]);
            if (roots[i] == main)
            {
                (double confidence, string? doubt) = joining.Confidence(i, anchor);
                return new PlacedClip(
                    clips[i], starts[i] - zero, rate, i == anchor ? 0 : startErrors[i], confidence,
                    i == anchor ? PlacementBasis.Reference : PlacementBasis.Meetings, own, 0)
                {
                    Doubts = doubt is null ? [] : [doubt],
                };
            }

            // From the device's own clock, if another clip of it has a place.
            DeviceClock clock = clocks[deviceOf[i]];
            if (clock.OffsetSeconds is double offset && clips[i].DeviceTime is { } time)
            {
                double from = offset + (time.Seconds / (1 + (rate * 1e-6))), far = FarFromPlaced(from);
                if (far > AnotherDaySeconds)
                {
                    return new PlacedClip(clips[i], double.NaN, rate, double.NaN, 0, PlacementBasis.None, own, island)
                    {
                        Doubts = [$"No other camera's clip was found that heard the same, and {clips[i].Camera}'s own clock puts it {Rounded(far)} from the others: a clip of another day, or of a clock that was set."],
                    };
                }

                double error = Math.Max(time.ErrorSeconds, clock.ClockErrorSeconds);
                return new PlacedClip(
                    clips[i], from, rate, error, error < 0.1 ? 0.95 : 0.5, PlacementBasis.DeviceClock, own, island)
                {
                    Doubts = [string.Create(CultureInfo.InvariantCulture, $"Placed by {clips[i].Camera}'s own clock alone, to about {Rounded(error)}: nothing it recorded was found in another camera's clips.")],
                };
            }

            bool alone = own.IsEmpty;
            return new PlacedClip(
                clips[i], alone ? double.NaN : starts[i], rate, alone ? double.NaN : startErrors[i], 0, PlacementBasis.None, own, island)
            {
                Doubts = [alone ? "No other camera's clip was found that heard the same." : "It has a place against some clips, but none of them was found in the first camera's."],
            };
        }

        // Distance of a time from everything placed by meetings.
        double FarFromPlaced(double seconds)
        {
            (double begin, double end)[] known = [.. Enumerable.Range(0, n).Where(k => roots[k] == main).Select(k => (starts[k] - zero, starts[k] - zero + clips[k].DurationSeconds))];
            return Math.Max(0, Math.Max(known.Min(k => k.begin) - seconds, seconds - known.Max(k => k.end)));
        }

        // The clip of the same camera that ends where this one begins.
        string? Previous(int i) => !placed[i].IsPlaced ? null : Enumerable.Range(0, n)
            .Where(j => j != i && deviceOf[j] == deviceOf[i] && placed[j].IsPlaced && Math.Abs(placed[j].EndSeconds - placed[i].StartSeconds) < JoinSeconds)
            .Select(j => clips[j].Name).FirstOrDefault();

        IEnumerable<string> ClockDoubts(int i)
        {
            if (placed[i].Basis == PlacementBasis.Meetings && clips[i].DeviceTime is { } time && clocks[deviceOf[i]].OffsetSeconds is double offset)
            {
                double apart = placed[i].StartSeconds - offset - (time.Seconds / (1 + (rates[deviceOf[i]] * 1e-6)));
                if (Math.Abs(apart) > Math.Max(3 * time.ErrorSeconds, 0.05) + placed[i].ErrorSeconds)
                {
                    yield return string.Create(CultureInfo.InvariantCulture, $"{clips[i].Camera}'s own clock puts it {Rounded(Math.Abs(apart))} {(apart > 0 ? "earlier" : "later")}: that clock was set, or the file's date is another's.");
                }
            }
        }
    }

    private static string Rounded(double seconds) => seconds switch
    {
        < 1 => string.Create(CultureInfo.InvariantCulture, $"{seconds * 1000:0} ms"),
        < 120 => string.Create(CultureInfo.InvariantCulture, $"{seconds:0.#} s"),
        < 7200 => string.Create(CultureInfo.InvariantCulture, $"{seconds / 60:0} minutes"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{seconds / 3600:0.#} hours"),
    };

    // Unknowns: a place for each clip and a rate for each device except the first. Each meeting gives one equation for
    // the places (in the middle of its overlap, where it is most accurate) and, if the drift was measured, one for the
    // rates.
    private static (double[] Starts, double[] Errors, double[] RatesPpm, double[] RateErrorsPpm) LeastSquares(
        IReadOnlyList<ShootClip> clips, IReadOnlyList<Meeting> meetings, int devices, int[] deviceOf, double[] rough, Joining joining, int[] used, int[] held)
    {
        int n = clips.Count, unknowns = n + devices;
        Matrix<double> normal = Matrix<double>.Build.Dense(unknowns, unknowns);
        Vector<double> right = Vector<double>.Build.Dense(unknowns);
        double[] base0 = [.. Enumerable.Range(0, n).Select(joining.PlaceOf)];

        void Add((int Index, double Factor)[] row, double value, double sigma)
        {
            double w = 1 / (sigma * sigma);
            foreach ((int i, double fi) in row)
            {
                right[i] += w * fi * value;
                foreach ((int j, double fj) in row)
                {
                    normal[i, j] += w * fi * fj;
                }
            }
        }

        foreach (int u in used)
        {
            Meeting m = meetings[u];
            double t = m.MiddleSeconds, s = m.Sync.SecondaryTime(t);
            (int a, int b) = (deviceOf[m.First], deviceOf[m.Second]);

            // Corrections to places (seconds) and rates (ppm) near the tree's: start + t (1 - rate) is the same moment.
            double said = Apart(m, deviceOf, rough) - (base0[m.Second] - base0[m.First]);
            double sigma = Math.Max(m.Sync.Evidence.OffsetErrorSeconds, m.Sync.Method == SyncMethod.Light ? 0.02 : 0.0005);
            Add([(m.Second, 1), (m.First, -1), (n + a, t * 1e-6), (n + b, -s * 1e-6)], said, sigma);
            if (IsDriftKnown(m) && a != b)
            {
                Add([(n + b, 1), (n + a, -1)], m.Sync.DriftPpm - (rough[b] - rough[a]), Math.Max(0.3, m.Sync.Evidence.DriftErrorPpm));
            }
        }

        // The first camera's rate is fixed; the others have a weak prior; each island is anchored at one clip.
        Add([(n, 1)], 0, 1e-4);
        for (int d = 1; d < devices; d++)
        {
            Add([(n + d, 1)], -rough[d], UsualRatePpm);
        }

        foreach (int clip in held)
        {
            Add([(clip, 1)], 0, 1e-6);
        }

        Matrix<double> covariance = normal.Cholesky().Solve(Matrix<double>.Build.DenseIdentity(unknowns));
        Vector<double> solution = covariance * right;
        bool[] measured = [.. Enumerable.Range(0, devices).Select(d => d == 0 || used.Any(u => IsDriftKnown(meetings[u]) && (deviceOf[meetings[u].First] == d || deviceOf[meetings[u].Second] == d)))];
        return (
            [.. Enumerable.Range(0, n).Select(i => base0[i] + solution[i])],
            [.. Enumerable.Range(0, n).Select(i => Math.Sqrt(covariance[i, i]))],
            [.. Enumerable.Range(0, devices).Select(d => d == 0 ? 0 : rough[d] + solution[n + d])],
            [.. Enumerable.Range(0, devices).Select(d => d == 0 ? 0 : measured[d] ? Math.Sqrt(covariance[n + d, n + d]) : double.PositiveInfinity)]);
    }

    /// <summary>Meetings in order of credibility, joined into trees; the rest supports or contradicts them.</summary>
    private sealed class Joining(IReadOnlyList<ShootClip> clips, IReadOnlyList<Meeting> meetings, int[] deviceOf, double[] rates)
    {
        private readonly int[] _root = [.. Enumerable.Range(0, clips.Count)];
        private readonly double[] _place = new double[clips.Count];
        private readonly List<int>[] _tree = [.. clips.Select(_ => new List<int>())];
        private readonly bool[] _used = new bool[meetings.Count];
        private readonly double[] _strength = [.. meetings.Select(m => Logit(m.Sync.Confidence))];
        private readonly List<(int Meeting, int[] Path)> _contradictions = [];

        public List<RefusedMeeting> Refused { get; } = [];

        public List<double> LoopErrors { get; } = [];

        public int Root(int clip) => _root[clip];

        public double PlaceOf(int clip) => _place[clip];

        public bool IsUsed(int meeting) => _used[meeting];

        public void Run()
        {
            foreach (int m in Enumerable.Range(0, meetings.Count).OrderByDescending(Belief).ThenBy(m => m))
            {
                Meeting meeting = meetings[m];
                (int a, int b) = (meeting.First, meeting.Second);
                double apart = Apart(meeting, deviceOf, rates);
                if (_root[a] == _root[b])
                {
                    Close(m, apart - (_place[b] - _place[a]));
                }
                else if (Collision(a, b, apart) is { } twice)
                {
                    Refused.Add(new RefusedMeeting(m, double.NaN, $"It would have {clips[twice.One].Camera} record '{clips[twice.One].Name}' and '{clips[twice.Other].Name}' at the same time."));
                }
                else
                {
                    Join(m, a, b, apart);
                }
            }
        }

        /// <summary>The confidence of a clip's place: every meeting on its path to the anchor must be right.</summary>
        public (double Confidence, string? Doubt) Confidence(int clip, int anchor)
        {
            int[] way = Path(clip, anchor) ?? [];
            double wrong = 0;
            string? doubt = null;
            foreach (int m in way)
            {
                // A contradiction that no loop outvotes puts the weakest meeting of its path in doubt.
                double strength = _strength[m];
                foreach ((int other, int[] path) in _contradictions)
                {
                    if (path.Contains(m) && _strength[m] - Logit(meetings[other].Sync.Confidence) < DoubtLogit)
                    {
                        strength = Math.Min(strength, _strength[m] - Logit(meetings[other].Sync.Confidence));
                        doubt = $"'{clips[meetings[other].First].Name}' and '{clips[meetings[other].Second].Name}' say otherwise, and nothing outvotes them.";
                    }
                }

                wrong += 1 / (1 + Math.Exp(strength));
            }

            return (Math.Max(0, 1 - wrong), doubt);
        }

        // Agreement with a third clip counts more than a meeting's own confidence, because two wrong ones do not agree
        // by chance.
        private double Belief(int m)
        {
            Meeting meeting = meetings[m];
            double belief = Logit(meeting.Sync.Confidence), apart = Apart(meeting, deviceOf, rates);
            foreach ((int third, double toFirst, int m1) in Neighbours(meeting.First))
            {
                foreach ((int same, double toSecond, int m2) in Neighbours(meeting.Second))
                {
                    if (third == same && m1 != m && m2 != m)
                    {
                        double rest = apart + toSecond - toFirst;
                        belief += Math.Abs(rest) < Tolerance(m, m1, m2) ? AgreementLogit : -AgreementLogit / 2;
                    }
                }
            }

            return belief;
        }

        // Start of the neighbour minus start of the clip.
        private IEnumerable<(int Clip, double Apart, int Meeting)> Neighbours(int clip)
        {
            for (int m = 0; m < meetings.Count; m++)
            {
                if (meetings[m].First == clip)
                {
                    yield return (meetings[m].Second, Apart(meetings[m], deviceOf, rates), m);
                }
                else if (meetings[m].Second == clip)
                {
                    yield return (meetings[m].First, -Apart(meetings[m], deviceOf, rates), m);
                }
            }
        }

        private double Tolerance(params IEnumerable<int> some) =>
            LoopSeconds + (3 * Math.Sqrt(some.Sum(m => meetings[m].Sync.Evidence.OffsetErrorSeconds * meetings[m].Sync.Evidence.OffsetErrorSeconds)))
            + (some.Any(m => meetings[m].Sync.Method == SyncMethod.Light) ? 0.04 : 0);

        private void Close(int m, double rest)
        {
            int[] path = Path(meetings[m].First, meetings[m].Second)!;
            if (Math.Abs(rest) < Tolerance([m, .. path]))
            {
                _used[m] = true;
                LoopErrors.Add(rest);
                foreach (int p in path)
                {
                    _strength[p] += AgreementLogit;
                }
            }
            else
            {
                _contradictions.Add((m, path));
                Refused.Add(new RefusedMeeting(m, rest, string.Create(
                    CultureInfo.InvariantCulture, $"It lies {Rounded(Math.Abs(rest))} from what the other meetings of these clips say.")));
            }
        }

        private (int One, int Other)? Collision(int a, int b, double apart)
        {
            // How far b's tree would move.
            double move = _place[a] + apart - _place[b];
            for (int i = 0; i < clips.Count; i++)
            {
                for (int j = 0; j < clips.Count; j++)
                {
                    if (_root[i] == _root[a] && _root[j] == _root[b] && deviceOf[i] == deviceOf[j])
                    {
                        double from = Math.Max(_place[i], _place[j] + move);
                        double to = Math.Min(_place[i] + clips[i].DurationSeconds, _place[j] + move + clips[j].DurationSeconds);
                        if (to - from > OverlapAllowedSeconds)
                        {
                            return (i, j);
                        }
                    }
                }
            }

            return null;
        }

        private void Join(int m, int a, int b, double apart)
        {
            double move = _place[a] + apart - _place[b];
            (int keep, int gone) = (_root[a], _root[b]);
            for (int i = 0; i < clips.Count; i++)
            {
                if (_root[i] == gone)
                {
                    (_root[i], _place[i]) = (keep, _place[i] + move);
                }
            }

            _used[m] = true;
            _tree[a].Add(m);
            _tree[b].Add(m);
        }

        // The tree's path of meetings from one clip to another.
        private int[]? Path(int from, int to)
        {
            Dictionary<int, (int Before, int Meeting)> seen = new() { [from] = (-1, -1) };
            Queue<int> next = new([from]);
            while (next.TryDequeue(out int at))
            {
                if (at == to)
                {
                    List<int> path = [];
                    for (int k = to; seen[k].Meeting >= 0; k = seen[k].Before)
                    {
                        path.Add(seen[k].Meeting);
                    }

                    return [.. path];
                }

                foreach (int m in _tree[at])
                {
                    int other = meetings[m].First == at ? meetings[m].Second : meetings[m].First;
                    if (seen.TryAdd(other, (at, m)))
                    {
                        next.Enqueue(other);
                    }
                }
            }

            return null;
        }
    }
}
