using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Drift;

namespace Tonematch.Testing.Simulation;

/// <summary>
/// Colours of things that two cameras follow over a clip, made from a seed: sensor noise, things that move, light that
/// changes for both, a correction that is a little wrong at each thing, and a secondary that wanders as told.
/// </summary>
public static class MadeDrift
{
    /// <summary>The static correction that goes with the made secondary: secondary code values to the primary's.</summary>
    public static CodeRgb Correct(CodeRgb code) => new(Bend(code.R, 1 / 1.12, 1 / 0.9), Bend(code.G, 1 / 1.12, 1), Bend(code.B, 1 / 1.12, 1 / 1.1));

    /// <summary>Instants of a clip.</summary>
    /// <param name="seconds">Length.</param>
    /// <param name="perSecond">Instants a second.</param>
    /// <param name="drift">The secondary's course, or null for none.</param>
    /// <param name="seed">Things, noise, light.</param>
    /// <param name="things">How many things are seen in common.</param>
    public static IReadOnlyList<DriftInstant> Instants(double seconds, double perSecond, Func<double, DriftValue>? drift, int seed, int things = 80)
    {
        Random random = new(seed);
        SignalEncoding e = SignalEncoding.Bt709;
        (double R, double G, double B)[] light = [.. Enumerable.Range(0, things).Select(_ =>
        {
            double level = 0.03 + (0.5 * random.NextDouble() * random.NextDouble());
            return (level * (0.5 + random.NextDouble()), level, level * (0.5 + random.NextDouble()));
        })];
        (double R, double G, double B)[] wrong = [.. Enumerable.Range(0, things).Select(_ => (0.08 * Normal(random), 0.08 * Normal(random), 0.08 * Normal(random)))];
        bool[] moves = [.. Enumerable.Range(0, things).Select(_ => random.NextDouble() < 0.15)];

        // The light of the room steps now and then, and changes its colour: both see it.
        double[] steps = [.. Enumerable.Range(0, random.Next(0, 4)).Select(_ => seconds * random.NextDouble())];
        double noise = 0.003 + (0.006 * random.NextDouble());
        ImmutableArray<DriftInstant>.Builder instants = ImmutableArray.CreateBuilder<DriftInstant>();
        for (double t = 0; t < seconds; t += 1 / perSecond)
        {
            int state = steps.Count(s => s < t);
            (double dr, double dg, double db) = (drift?.Invoke(t) ?? DriftValue.None).ToChannelStops();
            ImmutableArray<DriftSample>.Builder samples = ImmutableArray.CreateBuilder<DriftSample>();
            for (int k = 0; k < things; k++)
            {
                if (random.NextDouble() < 0.2)
                {
                    continue;
                }

                // A thing that moves shows another colour to each camera.
                double stray = moves[k] ? 0.4 * Normal(random) : 0, room = 0.35 * (state % 2), warm = 0.15 * (state % 3);
                CodeRgb a = new(
                    e.FromScene(light[k].R * Math.Pow(2, room + warm)), e.FromScene(light[k].G * Math.Pow(2, room)), e.FromScene(light[k].B * Math.Pow(2, room - warm)));
                CodeRgb seen = new(
                    Bend(e.FromScene(e.ToScene(a.R) * Math.Pow(2, wrong[k].R + stray)), 1.12, 0.9),
                    Bend(e.FromScene(e.ToScene(a.G) * Math.Pow(2, wrong[k].G + stray)), 1.12, 1),
                    Bend(e.FromScene(e.ToScene(a.B) * Math.Pow(2, wrong[k].B + stray)), 1.12, 1.1));
                CodeRgb b = new(
                    Noisy(e.FromScene(e.ToScene(seen.R) * Math.Pow(2, dr))), Noisy(e.FromScene(e.ToScene(seen.G) * Math.Pow(2, dg))), Noisy(e.FromScene(e.ToScene(seen.B) * Math.Pow(2, db))));
                samples.Add(new DriftSample(k, new(Noisy(a.R), Noisy(a.G), Noisy(a.B)), b));
            }

            instants.Add(new DriftInstant(t, samples.ToImmutable()));
        }

        return instants.ToImmutable();

        double Noisy(double code) => Math.Clamp(code + (noise * Normal(random)), 0, 1);
    }

    // Another contrast and white than the primary's, in light.
    private static double Bend(double code, double power, double gain)
    {
        SignalEncoding e = SignalEncoding.Bt709;
        double light = Math.Max(0, e.ToScene(code));
        return power > 1
            ? e.FromScene(gain * 0.18 * Math.Pow(light / 0.18, power))
            : e.FromScene(0.18 * Math.Pow(light * gain / 0.18, power));
    }

    private static double Normal(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
