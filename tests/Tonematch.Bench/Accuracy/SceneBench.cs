using Tonematch.Bench.Real;
using Tonematch.Colour;
using Tonematch.Numerics;
using Tonematch.Samples;
using Tonematch.Testing.Simulation;

namespace Tonematch.Bench.Accuracy;

/// <summary>Simulated cameras that treat parts of their picture differently, scored on and off the chart; see docs/accuracy.md.</summary>
internal static class SceneBench
{
    private static readonly (string Name, LocalEffects Effects)[] s_effects =
    [
        ("none", LocalEffects.None),
        ("veil", LocalEffects.None with { Veil = 0.03 }),
        ("vignetting", LocalEffects.None with { CornerStops = 0.8 }),
        ("local tone mapping", LocalEffects.None with { ToneStops = 0.25 }),
        ("exposure by place", LocalEffects.None with { PlaceStops = 0.4 }),
        ("half of each", new LocalEffects(0.015, 0.4, 0.125, 0.2)),
    ];

    public static void Run(SimulatedCameras cameras, int first, int scenarios, string[] args)
    {
        foreach ((string name, LocalEffects effects) in s_effects)
        {
            Dictionary<string, List<(double OnChart, double Unseen, double Claim)>> rows = [];
            for (int s = first; s < first + scenarios; s++)
            {
                SimulatedScene scene = SimulatedScene.Of(cameras.Pair(s), effects, s);
                foreach ((string from, SampleSet set) in (ReadOnlySpan<(string, SampleSet)>)[("chart", scene.Chart), ("chart and scene", scene.ChartAndKnown)])
                {
                    foreach ((string method, Func<CodeRgb, CodeRgb> map) in RealBench.Methods(set, args, out double claim, out _))
                    {
                        string row = $"{method} | {from}";
                        if (!rows.TryGetValue(row, out var figures))
                        {
                            rows[row] = figures = [];
                        }

                        figures.Add((Mean(scene.OnChart, map), Mean(scene.Unseen, map), method == RealBench.HandedOver ? claim : double.NaN));
                    }
                }
            }

            Console.WriteLine();
            Console.WriteLine($"**{name}** (medians of {scenarios} pairs of cameras; largest mean in brackets)");
            Console.WriteLine("| method | fitted to | where the chart is | unseen parts | claimed |");
            Console.WriteLine("|---|---|---|---|---|");
            foreach ((string row, var figures) in rows)
            {
                string claim = double.IsNaN(figures[0].Claim) ? "" : RealBench.Text(Median.Of(figures.Select(f => f.Claim)));
                Console.WriteLine($"| {row} | {RealBench.Text(Median.Of(figures.Select(f => f.OnChart)))} ({RealBench.Text(figures.Max(f => f.OnChart))}) | {RealBench.Text(Median.Of(figures.Select(f => f.Unseen)))} ({RealBench.Text(figures.Max(f => f.Unseen))}) | {claim} |");
            }
        }
    }

    private static double Mean(SampleSet scored, Func<CodeRgb, CodeRgb> map) =>
        scored.Pairs.Average(p => RealBench.Difference(scored.PrimaryEncoding, p.Primary, map(p.Secondary)));
}
