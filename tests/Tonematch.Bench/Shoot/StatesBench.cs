using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Samples;
using Tonematch.States;
using Tonematch.Testing;

namespace Tonematch.Bench.Shoot;

/// <summary>
/// Three lights over 40 minutes, in which the cameras need another correction each: the corrections of the states that are
/// found, over time and on colours without noise, against matching each part of the evening by itself with its true times.
/// </summary>
internal static class StatesBench
{
    private const double Seconds = 2400, Every = 15;
    private const int Parts = 8, ColoursAnInstant = 24;

    private sealed record Instant(double Seconds, int Light, int Part, SamplePair[] Pairs);

    public static int Run(int count)
    {
        SignalEncoding e = SignalEncoding.Bt709;
        List<(double Found, double ByItself, double One)> figures = [];
        int states = 0, perState = 0, falsely = 0;
        for (int seed = 0; seed < count; seed++)
        {
            (Instant[] instants, Correction[] lights) = Evening(seed, differ: true);
            (ImmutableArray<LightStretch> stretches, Correction one, Dictionary<int, Correction> own) = Matched(instants);
            states += stretches.Select(s => s.State).Distinct().Count() == 3 ? 1 : 0;
            perState += own.Count > 1 ? 1 : 0;
            Dictionary<int, Correction> parts = instants.GroupBy(i => i.Part).ToDictionary(g => g.Key, g => Fitted([.. g.SelectMany(i => i.Pairs)]));
            CodeRgb[] things = MadeColours.Spread(60, seed + 500);
            double Off(Func<Instant, Correction> by) => instants.Average(i => things.Average(c => DeltaE2000.Between(e.ToLab(lights[i.Light].Apply(c).Clamped()), e.ToLab(by(i).Apply(c).Clamped()))));
            figures.Add((Off(i => own.GetValueOrDefault(LightStates.At(stretches, i.Seconds), one)), Off(i => parts[i.Part]), Off(_ => one)));
            (instants, _) = Evening(seed, differ: false);
            falsely += Matched(instants).Own.Count > 1 ? 1 : 0;
        }

        Console.WriteLine("| evenings | three states found | one correction each | Delta E over time | each part by itself | ratio of the means | largest ratio | one for all | states where one does for all |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|");
        Console.WriteLine(FormattableString.Invariant(
            $"| {count} | {states} | {perState} | {figures.Average(f => f.Found):0.00} | {figures.Average(f => f.ByItself):0.00} | {figures.Average(f => f.Found) / figures.Average(f => f.ByItself):0.00} | {figures.Max(f => f.Found / f.ByItself):0.00} | {figures.Average(f => f.One):0.00} | {falsely} of {count} |"));
        return 0;
    }

    // As the shoot does it: one for all, what it leaves over time, states, one each where that is better.
    private static (ImmutableArray<LightStretch> Stretches, Correction One, Dictionary<int, Correction> Own) Matched(Instant[] instants)
    {
        SignalEncoding e = SignalEncoding.Bt709;
        SamplePair[] pairs = [.. instants.SelectMany(i => i.Pairs)];
        Correction one = Fitted(pairs);
        ImmutableArray<LightStretch> stretches = LightStates.Find([.. instants.Select(i =>
        {
            (double R, double G, double B)[] off = [.. i.Pairs.Select(p => (p, c: one.Apply(p.Secondary))).Select(x => (Stops(x.c.R, x.p.Primary.R), Stops(x.c.G, x.p.Primary.G), Stops(x.c.B, x.p.Primary.B)))];
            double Middle(Func<(double R, double G, double B), double> of) => off.Select(of).Order().ElementAt(off.Length / 2);
            return new LightInstant(i.Seconds, Middle(o => o.G), Middle(o => o.R - o.G), Middle(o => o.B - o.G));
        })]);
        int[] state = [.. instants.SelectMany(i => i.Pairs.Select(_ => LightStates.At(stretches, i.Seconds)))];
        bool each = StateFitting.Compare(Set(pairs), state, CorrectionKind.Matrix, CancellationToken.None) is { IsPerState: true };
        return (stretches, one, each ? state.Distinct().ToDictionary(s => s, s => Fitted([.. pairs.Where((_, i) => state[i] == s)])) : []);

        double Stops(double corrected, double reference) => Math.Log2(Math.Max(1e-3, e.ToScene(corrected)) / Math.Max(1e-3, e.ToScene(reference)));
    }

    private static Correction Fitted(SamplePair[] pairs) =>
        CorrectionFitting.Fit(Set(pairs), FitOptions.Default with { Kinds = [CorrectionKind.Matrix], Folds = 2 }, CancellationToken.None).Candidates[^1].Correction;

    private static SampleSet Set(SamplePair[] pairs) => new(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Overlap, [.. pairs]);

    // Eight parts of random length in three lights; each light asks for other gains.
    private static (Instant[] Instants, Correction[] Lights) Evening(int seed, bool differ)
    {
        Random random = new((977 * seed) + 5);
        double Around(double by) => by * ((2 * random.NextDouble()) - 1);
        Correction[] lights = [.. Enumerable.Range(0, 3).Select(_ => Light(Around(0.3), Around(0.3), Around(0.2)))];
        lights = differ ? lights : [lights[0], lights[0], lights[0]];
        double[] edges = [0, .. Enumerable.Range(1, Parts - 1).Select(k => (Seconds * k / Parts) + Around(100)), Seconds];
        List<Instant> instants = [];
        for (double t = Every / 2; t < Seconds; t += Every)
        {
            int part = Enumerable.Range(0, Parts).First(k => t < edges[k + 1]), light = part % 3;
            SamplePair[] pairs = [.. MadeColours.Spread(ColoursAnInstant, random.Next()).Select((c, k) =>
            {
                CodeRgb Noisy(CodeRgb v) => new(v.R + Around(0.012), v.G + Around(0.012), v.B + Around(0.012));
                return new SamplePair(FormattableString.Invariant($"{t:0.0}-{k}"), FormattableString.Invariant($"{t:0.0}-{k / 4}"), Noisy(lights[light].Apply(c).Clamped()), Noisy(c).Clamped());
            })];
            instants.Add(new Instant(t, light, part, pairs));
        }

        return ([.. instants], lights);
    }

    // In stops: gains are what sensors mostly differ by from light to light.
    private static GainsCorrection Light(double exposure, double warm, double green) => new(
        SignalEncoding.Bt709, SignalEncoding.Bt709, Math.Pow(2, exposure + warm), Math.Pow(2, exposure + green), Math.Pow(2, exposure - warm));
}
