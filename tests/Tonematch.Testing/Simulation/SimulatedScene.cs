using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Testing.Simulation;

/// <summary>
/// Two simulated cameras before a chart and a scene of six parts, three beside each other in two rows. The secondary does to
/// each part what <see cref="LocalEffects"/> says.
/// </summary>
/// <param name="Chart">24 chart patches in the middle of the lower row.</param>
/// <param name="Known">Things of the upper row and of one part of the lower one, 30 each, noisy, 8 bit.</param>
/// <param name="OnChart">Other things where the chart is, without noise.</param>
/// <param name="Unseen">Things of the two remaining parts, without noise.</param>
public sealed record SimulatedScene(SampleSet Chart, SampleSet Known, SampleSet OnChart, SampleSet Unseen)
{
    private const int Parts = 6;
    private const int ThingsPerPart = 30;
    private const double Noise = 0.006;

    /// <summary>The chart and the known parts of the scene: what a match of two clips finds.</summary>
    public SampleSet ChartAndKnown => Known with { Pairs = [.. Chart.Pairs, .. Known.Pairs] };

    /// <summary>Places a pair of cameras before a scene.</summary>
    /// <param name="pair">The cameras.</param>
    /// <param name="effects">What the secondary does to parts of its picture.</param>
    /// <param name="seed">Which things stand where, and how much each place gets.</param>
    public static SimulatedScene Of(SimulatedPair pair, LocalEffects effects, int seed)
    {
        Random random = new(500 + seed);

        // Two waves a direction at most: a tone mapping works on parts of a picture, not on its pixels.
        (double X, double Y, double Phase)[] waves = [.. Enumerable.Range(0, 4).Select(_ => (2 * random.NextDouble(), 2 * random.NextDouble(), 2 * Math.PI * random.NextDouble()))];
        double Tone(double x, double y) => effects.ToneStops * waves.Sum(w => Math.Cos((2 * Math.PI * ((w.X * x) + (w.Y * y))) + w.Phase)) / Math.Sqrt(waves.Length / 2.0);
        (double Stops, double Veil)[] places = [.. Enumerable.Range(0, Parts + 1).Select(_ => (effects.PlaceStops * ((2 * random.NextDouble()) - 1), effects.Veil * random.NextDouble()))];
        CodeRgb There(CodeRgb code, int place, double x, double y)
        {
            double distance = (Math.Pow(x - 0.5, 2) + Math.Pow(y - 0.5, 2)) / 0.5;
            double factor = Math.Pow(2, places[place].Stops + Tone(x, y) - (effects.CornerStops * distance)), veil = places[place].Veil;
            SceneRgb light = SignalEncoding.Bt709.ToScene(code);
            return SignalEncoding.Bt709.FromScene(new SceneRgb((factor * light.R) + veil, (factor * light.G) + veil, (factor * light.B) + veil)).Clamped();
        }

        SamplePair ChartPatch(SamplePair patch, int i)
        {
            SamplePlace place = new(0.4 + (0.035 * (i % 6)), 0.65 + (0.06 * (i / 6)), 0.02, 0.03);
            CodeRgb secondary = SimulatedCameras.Record(There(pair.CleanChart.Pairs[i].Secondary, Parts, place.X, place.Y), 0.002, random);
            return patch with { Secondary = secondary, Locality = "the chart", Origin = new SampleOrigin(0, 0, place, place) };
        }

        List<SamplePair> Things(int part, bool noisy, int count, (double X, double Y) from, (double X, double Y) size) => [.. Enumerable.Range(0, count).Select(k =>
        {
            int thing = random.Next(pair.ScoredPrimary.Length);
            SamplePlace place = new(from.X + (size.X * random.NextDouble()), from.Y + (size.Y * random.NextDouble()), 0.02, 0.02);
            CodeRgb primary = pair.ScoredPrimary[thing], secondary = There(pair.ScoredSecondary[thing], part, place.X, place.Y);
            return new SamplePair(
                $"part {part} {k:D2}", $"part {part} {k / 4}", noisy ? SimulatedCameras.Record(primary, Noise, random) : primary, noisy ? SimulatedCameras.Record(secondary, Noise, random) : secondary)
            {
                Locality = $"part {part}",
                Origin = new SampleOrigin(0, 0, place, place),
            };
        })];

        SampleSet Set(IEnumerable<SamplePair> pairs) => pair.Chart with { Method = SamplingMethod.Overlap, Pairs = [.. pairs] };
        List<SamplePair>[] parts = [.. Enumerable.Range(0, Parts).Select(p => Things(p, p < 4, ThingsPerPart, (p % 3 / 3.0, p / 3 / 2.0), (0.3, 0.4)))];
        return new SimulatedScene(
            pair.Chart with { Pairs = [.. pair.Chart.Pairs.Select(ChartPatch)] },
            Set(parts[..4].SelectMany(p => p)),
            Set(Things(Parts, false, 60, (0.4, 0.65), (0.2, 0.2))),
            Set(parts[4..].SelectMany(p => p)));
    }
}
