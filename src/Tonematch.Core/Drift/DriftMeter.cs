using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Numerics;

namespace Tonematch.Drift;

/// <summary>
/// Measures how a secondary's exposure and white balance drift relative to the primary, from objects that both saw at
/// many instants.
/// </summary>
/// <remarks>
/// The primary is the reference: a change of light that both saw changes both and cancels, thanks to the static
/// correction even if their tone curves differ. The remaining difference of each object over time is split into a part
/// of the object (the correction's error there) and a part that all objects share at an instant: the drift. One half of
/// the objects gives the drift; the other half must confirm it, or there is none. Related methods for a single camera:
/// Farbman and Lischinski, 'Tonal stabilization of video', ACM TOG 30(4), 2011; Frigo et al. 2015; Vazquez-Corral and
/// Bertalmio, IEEE TIP 2014.
/// </remarks>
public static class DriftMeter
{
    // A drift with a smaller range is invisible (range without half a per cent at either end).
    private const double LeastStops = 0.15;
    private const double LeastMired = 10;
    private const double LeastGreen = 0.1;

    // The share that the other half of the objects must confirm.
    private const double LeastShare = 0.5;

    private const int FewestInstants = 8;
    private const int FewestSamples = 6;
    private const int Rounds = 4;

    // Passes of the medians, and the movement at which they have settled, stops.
    private const int MostPasses = 60;
    private const double Settled = 0.001;

    // Ratios of light nearer to black or white than this reflect noise and clipping.
    private const double Darkest = 0.02;
    private const double Lightest = 0.94;

    // The best accuracy of one instant, stops: compression shifts all objects slightly together.
    private const double BestError = 0.004;

    private static readonly double[] s_paces = [0.002, 0.005, 0.012, 0.03, 0.07, 0.17, 0.4, 1, 2.5, 6];

    /// <summary>Measures the drift.</summary>
    /// <param name="instants">In order of time; those with fewer than 6 usable colours are skipped.</param>
    /// <param name="primaryEncoding">What the primary's code values mean.</param>
    /// <param name="secondaryEncoding">What the secondary's code values mean.</param>
    /// <param name="correct">The static correction: secondary code values to primary-like ones.</param>
    /// <exception cref="ArgumentException">Times are not ascending.</exception>
    public static DriftMeasurement Measure(
        IReadOnlyList<DriftInstant> instants, SignalEncoding primaryEncoding, SignalEncoding secondaryEncoding, Func<CodeRgb, CodeRgb> correct)
    {
        ArgumentNullException.ThrowIfNull(instants);
        ArgumentNullException.ThrowIfNull(primaryEncoding);
        ArgumentNullException.ThrowIfNull(secondaryEncoding);
        ArgumentNullException.ThrowIfNull(correct);
        if (instants.Zip(instants.Skip(1)).Any(p => p.Second.Seconds <= p.First.Seconds))
        {
            throw new ArgumentException("Instants are given in order of time.", nameof(instants));
        }

        Scene scene = new(primaryEncoding, secondaryEncoding, correct);
        Seen[] seen = [.. instants.Select(i => new Seen(i.Seconds, [.. i.Samples.Where(Scene.IsUsable)])).Where(i => i.Samples.Length >= FewestSamples)];
        if (seen.Length < FewestInstants)
        {
            return new DriftMeasurement(null, [], 0, $"Enough was seen in common at {seen.Length} instants; {FewestInstants} are needed to follow exposure and white balance.");
        }

        Course all = Shared(seen, scene, _ => true), one = Shared(seen, scene, place => IsFirstHalf(place)), two = Shared(seen, scene, place => !IsFirstHalf(place));
        double[] seconds = [.. seen.Select(s => s.Seconds)];
        double[][] smooth = new double[3][];
        double[] shares = new double[3];
        bool[] moves = new bool[3];
        double[] least = [LeastStops, LeastMired, LeastGreen], scale = [1, 66, 1];
        for (int c = 0; c < 3; c++)
        {
            (double pace, shares[c]) = BestPace(seconds, one, two, c, scale[c]);
            smooth[c] = SmoothCourse.Through(seconds, all.Values[c], all.Errors[c], pace);
            moves[c] = shares[c] >= LeastShare && Range(smooth[c]) >= least[c];
        }

        ImmutableArray<DriftPoint> measured = [.. Enumerable.Range(0, seen.Length).Select(t => new DriftPoint(
            seconds[t], new(all.Values[0][t], all.Values[1][t], all.Values[2][t]), new(all.Errors[0][t], all.Errors[1][t], all.Errors[2][t])))];
        double share = Math.Max(0, Enumerable.Range(0, 3).Max(c => shares[c]));
        if (!moves.Contains(true))
        {
            return new DriftMeasurement(null, measured, share, string.Create(
                CultureInfo.InvariantCulture,
                $"Exposure stays within {Range(smooth[0]):0.00} stop and white balance within {Range(smooth[1]):0} mired: there is nothing to follow."));
        }

        DriftPoint[] points = [.. Enumerable.Range(0, seen.Length).Select(t => new DriftPoint(
            seconds[t],
            new(moves[0] ? smooth[0][t] : 0, moves[1] ? smooth[1][t] : 0, moves[2] ? smooth[2][t] : 0),
            new(all.Errors[0][t], all.Errors[1][t], all.Errors[2][t])))];
        DriftTrack track = new(Thinned(points));
        return new DriftMeasurement(track, measured, share, string.Create(
            CultureInfo.InvariantCulture,
            $"Exposure wanders by {Range(smooth[0]):0.0#} stop and white balance by {Range(smooth[1]):0} mired relative to the other camera."));
    }

    /// <summary>
    /// How far a clip as a whole is from what a correction made on another clip expects, with its own drift removed: a
    /// camera with automatic exposure has another level in each clip.
    /// </summary>
    /// <param name="instants">In order of time.</param>
    /// <param name="primaryEncoding">What the primary's code values mean.</param>
    /// <param name="secondaryEncoding">What the secondary's code values mean.</param>
    /// <param name="correct">The static correction, made on another clip.</param>
    /// <param name="track">The clip's drift from its own usual level; null for none.</param>
    /// <returns>The median over all usable colours; none without any.</returns>
    public static DriftValue Level(
        IReadOnlyList<DriftInstant> instants, SignalEncoding primaryEncoding, SignalEncoding secondaryEncoding, Func<CodeRgb, CodeRgb> correct, DriftTrack? track)
    {
        ArgumentNullException.ThrowIfNull(instants);
        ArgumentNullException.ThrowIfNull(primaryEncoding);
        ArgumentNullException.ThrowIfNull(secondaryEncoding);
        ArgumentNullException.ThrowIfNull(correct);
        Scene scene = new(primaryEncoding, secondaryEncoding, correct);
        (DriftSample Sample, DriftValue Drift)[] seen = [.. instants.SelectMany(i => i.Samples.Where(Scene.IsUsable).Select(s => (s, track?.At(i.Seconds) ?? DriftValue.None)))];
        DriftValue level = DriftValue.None;
        for (int round = 0; round < Rounds && seen.Length > 0; round++)
        {
            (double R, double G, double B)[] over = [.. seen.Select(s => scene.Over(s.Sample, s.Drift.Plus(level)))];
            level = level.Plus(DriftValue.FromChannelStops(Median.Of(over.Select(o => o.R)), Median.Of(over.Select(o => o.G)), Median.Of(over.Select(o => o.B))));
        }

        return level;
    }

    /// <summary>Whether a difference of a clip's level, or the range of a drift, is large enough to be seen.</summary>
    public static bool IsVisible(DriftValue difference) =>
        Math.Abs(difference.Stops) >= LeastStops || Math.Abs(difference.Mired) >= LeastMired || Math.Abs(difference.GreenMagenta) >= LeastGreen;

    // The pace at which the drift of one half of the objects best predicts the other half, both ways; and how much of
    // the other half's variance it explains.
    private static (double Pace, double Share) BestPace(double[] seconds, Course one, Course two, int channel, double scale)
    {
        (double pace, double share) = (s_paces[0] * scale, double.NegativeInfinity);
        foreach (double candidate in s_paces)
        {
            double left = 0, all = 0;
            foreach ((Course from, Course to) in new[] { (one, two), (two, one) })
            {
                double[] course = SmoothCourse.Through(seconds, from.Values[channel], from.Errors[channel], candidate * scale);
                double[] difference = [.. course.Zip(to.Values[channel], (a, b) => b - a)], values = to.Values[channel];
                left += Spread(difference);
                all += Spread(values);
            }

            double explained = all > 0 ? 1 - (left / all) : 0;

            // A quicker pace must be clearly better, because noise shared by both halves is quick.
            if (explained > share + 0.01)
            {
                (pace, share) = (candidate * scale, explained);
            }
        }

        return (pace, share);
    }

    // Sum of squares about the median. No outliers are removed: automatic exposure that hunts after a flash shows in
    // only a few of many instants, and what only one half of the objects shows counts against the drift anyway.
    private static double Spread(double[] values)
    {
        double middle = Median.Of(values);
        return values.Sum(v => (v - middle) * (v - middle));
    }

    private static double Range(double[] course)
    {
        double[] sorted = [.. course.Order()];
        return sorted[(int)(0.995 * (sorted.Length - 1))] - sorted[(int)(0.005 * (sorted.Length - 1))];
    }

    private static bool IsFirstHalf(int place) => (((uint)place * 2654435761u) >> 16 & 1) == 0;

    private sealed record Seen(double Seconds, DriftSample[] Samples);

    /// <summary>Exposure, mired, green of every instant.</summary>
    private sealed record Course(double[][] Values, double[][] Errors);

    private sealed class Scene(SignalEncoding primary, SignalEncoding secondary, Func<CodeRgb, CodeRgb> correct)
    {
        public static bool IsUsable(DriftSample s) => Inside(s.Primary) && Inside(s.Secondary);

        /// <summary>
        /// Stops of each channel's corrected light relative to the primary's, with the drift removed first.
        /// </summary>
        public (double R, double G, double B) Over(DriftSample s, DriftValue drift)
        {
            CodeRgb corrected = correct(drift.TakeOutOf(s.Secondary, secondary));
            return (Ratio(corrected.R, s.Primary.R), Ratio(corrected.G, s.Primary.G), Ratio(corrected.B, s.Primary.B));
        }

        private double Ratio(double corrected, double reference) =>
            Math.Log2(Math.Max(1e-4, primary.ToScene(corrected)) / Math.Max(1e-4, primary.ToScene(reference)));

        private static bool Inside(CodeRgb c) =>
            Math.Min(c.R, Math.Min(c.G, c.B)) > Darkest && Math.Max(c.R, Math.Max(c.G, c.B)) < Lightest;
    }

    // What all objects share at each instant, after removing the part of each object.
    private static Course Shared(Seen[] seen, Scene scene, Func<int, bool> counts)
    {
        int n = seen.Length;
        double[][] drift = [new double[n], new double[n], new double[n]], errors = [new double[n], new double[n], new double[n]];
        DriftSample[][] samples = [.. seen.Select(s => s.Samples.Where(x => counts(x.Place)).ToArray())];
        int[] places = [.. samples.SelectMany(i => i.Select(x => x.Place)).Distinct()];
        Dictionary<int, int> indexOf = places.Select((place, i) => (place, i)).ToDictionary(p => p.place, p => p.i);
        int[][] place = [.. samples.Select(i => i.Select(x => indexOf[x.Place]).ToArray())];
        for (int round = 0; round < Rounds; round++)
        {
            double[][][] over = [new double[n][], new double[n][], new double[n][]];
            Parallel.For(0, n, t =>
            {
                DriftValue now = DriftValue.FromChannelStops(drift[0][t], drift[1][t], drift[2][t]);
                (double R, double G, double B)[] seenOver = [.. samples[t].Select(s => scene.Over(s, now))];
                (over[0][t], over[1][t], over[2][t]) = ([.. seenOver.Select(o => o.R)], [.. seenOver.Select(o => o.G)], [.. seenOver.Select(o => o.B)]);
            });
            Parallel.For(0, 3, c =>
            {
                (double[] shared, double[] deviation) = Polished(over[c], place, places.Length);
                for (int t = 0; t < n; t++)
                {
                    drift[c][t] += shared[t];
                    errors[c][t] = Math.Sqrt((BestError * BestError) + (deviation[t] * deviation[t] * Math.PI / 2 / Math.Max(1, samples[t].Length)));
                }
            });

            for (int c = 0; c < 3; c++)
            {
                // The usual value is the one it has most of the time.
                double usual = Median.Of(drift[c]);
                for (int t = 0; t < n; t++)
                {
                    drift[c][t] -= usual;
                }
            }
        }

        DriftValue[] values = [.. Enumerable.Range(0, n).Select(t => DriftValue.FromChannelStops(drift[0][t], drift[1][t], drift[2][t]))];
        DriftValue[] doubts = [.. Enumerable.Range(0, n).Select(t => Doubt(errors[0][t], errors[1][t], errors[2][t]))];
        return new Course(
            [[.. values.Select(v => v.Stops)], [.. values.Select(v => v.Mired)], [.. values.Select(v => v.GreenMagenta)]],
            [[.. doubts.Select(v => v.Stops)], [.. doubts.Select(v => v.Mired)], [.. doubts.Select(v => v.GreenMagenta)]]);
    }

    // What the places of an instant share, and how far they deviate from it, by taking medians over places and over
    // instants in turn until nothing moves (J. W. Tukey, Exploratory Data Analysis, 1977, chapter 11: median polish). If
    // each place is seen only for a while, as by a camera that moves, its own median holds some of the drift at first.
    private static (double[] Shared, double[] Deviation) Polished(double[][] over, int[][] place, int places)
    {
        int n = over.Length;
        int[] counts = new int[places];
        foreach (int p in place.SelectMany(i => i))
        {
            counts[p]++;
        }

        double[][] byPlace = [.. counts.Select(c => new double[c])];
        double[] shared = new double[n], deviation = new double[n], own = new double[places];
        for (int pass = 0; pass < MostPasses; pass++)
        {
            Array.Clear(counts);
            for (int t = 0; t < n; t++)
            {
                for (int k = 0; k < over[t].Length; k++)
                {
                    int p = place[t][k];
                    byPlace[p][counts[p]++] = over[t][k] - shared[t];
                }
            }

            for (int p = 0; p < places; p++)
            {
                own[p] = Median.Of(byPlace[p]);
            }

            double moved = 0;
            for (int t = 0; t < n; t++)
            {
                double[] rest = [.. over[t].Select((v, k) => v - own[place[t][k]])];
                double now = Median.Of(rest);
                (moved, deviation[t], shared[t]) = (Math.Max(moved, Math.Abs(now - shared[t])), Median.Deviation(rest, now), now);
            }

            if (moved < Settled)
            {
                break;
            }
        }

        return (shared, deviation);
    }

    // Errors of the channels add as squares.
    private static DriftValue Doubt(double red, double green, double blue)
    {
        DriftValue r = DriftValue.FromChannelStops(red, 0, 0), g = DriftValue.FromChannelStops(0, green, 0), b = DriftValue.FromChannelStops(0, 0, blue);
        return new DriftValue(
            Math.Sqrt((r.Stops * r.Stops) + (g.Stops * g.Stops) + (b.Stops * b.Stops)),
            Math.Sqrt((r.Mired * r.Mired) + (g.Mired * g.Mired) + (b.Mired * b.Mired)),
            Math.Sqrt((r.GreenMagenta * r.GreenMagenta) + (g.GreenMagenta * g.GreenMagenta) + (b.GreenMagenta * b.GreenMagenta)));
    }

    // Points within a hundredth of a stop or one mired of the line between their neighbours are left out, so that a
    // person can read and edit the rest (U. Ramer, Computer Graphics and Image Processing 1, 1972).
    private static ImmutableArray<DriftPoint> Thinned(DriftPoint[] points)
    {
        bool[] keep = new bool[points.Length];
        keep[0] = keep[^1] = true;
        Stack<(int From, int To)> open = new([(0, points.Length - 1)]);
        while (open.TryPop(out (int From, int To) part))
        {
            int worst = -1;
            double most = 1;
            for (int k = part.From + 1; k < part.To; k++)
            {
                double share = (points[k].Seconds - points[part.From].Seconds) / (points[part.To].Seconds - points[part.From].Seconds);
                DriftValue on = DriftValue.Between(points[part.From].Value, points[part.To].Value, share), v = points[k].Value;
                double off = Math.Max(Math.Abs(v.Stops - on.Stops) / 0.01, Math.Max(Math.Abs(v.Mired - on.Mired), Math.Abs(v.GreenMagenta - on.GreenMagenta) / 0.01));
                (worst, most) = off > most ? (k, off) : (worst, most);
            }

            if (worst >= 0)
            {
                keep[worst] = true;
                open.Push((part.From, worst));
                open.Push((worst, part.To));
            }
        }

        return [.. points.Where((_, i) => keep[i])];
    }
}
