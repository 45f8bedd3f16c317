// One line a bench; each prints its own table and says how it was measured.
Dictionary<string, Func<string[], int>> benches = new()
{
    ["speed-colour"] = Tonematch.Bench.SpeedColour.Run,
    ["speed-pipeline"] = Tonematch.Bench.PipelineSpeed.Run,
    ["speed-stages"] = Tonematch.Bench.StageSpeed.Run,
    ["sync"] = Tonematch.Bench.Sync.SyncBench.Run,
    ["shoot"] = Tonematch.Bench.Shoot.ShootBench.Run,
    ["overlap"] = Tonematch.Bench.Overlap.OverlapBench.Run,
    ["charts"] = Tonematch.Bench.Charts.ChartsBench.Run,
    ["fuzz"] = Tonematch.Bench.Luts.ReaderFuzzBench.Run,
    ["speed-lut"] = Tonematch.Bench.Luts.LutSpeedBench.Run,
    ["accuracy"] = Tonematch.Bench.Accuracy.AccuracyBench.Run,
    ["verdict"] = Tonematch.Bench.Verdicts.VerdictBench.Run,
    ["encodings"] = Tonematch.Bench.Encodings.EncodingsBench.Run,
    ["real"] = Tonematch.Bench.Real.RealBench.Run,
};

if (args.Length > 0 && benches.TryGetValue(args[0], out Func<string[], int>? bench))
{
    return bench(args[1..]);
}

Console.Error.WriteLine($"Which bench? One of: {string.Join(", ", benches.Keys)}.");
return 2;
