using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Testing.Simulation;

namespace Tonematch.Bench.Shoot;

/// <summary>
/// Exposure and white balance that wander, on made colours that two cameras follow for a minute: what is left over time when
/// the course is followed, against the same clip without drift; and whether a clip that holds still is given a course.
/// </summary>
internal static class DriftBench
{
    public static int Run(int count)
    {
        SignalEncoding e = SignalEncoding.Bt709;
        Console.WriteLine("| course | clips | course found | mean Delta E over time, followed | the same clip without drift | ratio | largest ratio | constant correction |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|");
        foreach ((string name, Func<double, DriftValue> course) in s_courses)
        {
            int found = 0;
            List<(double Followed, double Without, double Constant)> figures = [];
            for (int seed = 0; seed < count; seed++)
            {
                double rate = name == "hunting after a flash" ? 25 : 5;
                IReadOnlyList<DriftInstant> wandering = MadeDrift.Instants(60, rate, course, seed), still = MadeDrift.Instants(60, rate, null, seed);
                DriftMeasurement measured = DriftMeter.Measure(wandering, e, e, MadeDrift.Correct);
                found += measured.Track is null ? 0 : 1;
                DriftTrack track = measured.Track ?? new DriftTrack([new DriftPoint(0, DriftValue.None)]);
                DriftGain gain = DriftGain.Of(wandering, e, e, MadeDrift.Correct, MadeDrift.Correct, track);
                figures.Add((gain.FollowingMean, DriftGain.Of(still, e, e, MadeDrift.Correct, MadeDrift.Correct, track: new([new DriftPoint(0, DriftValue.None)])).ConstantMean, gain.ConstantMean));
            }

            Console.WriteLine(FormattableString.Invariant(
                $"| {name} | {count} | {found} | {figures.Average(f => f.Followed):0.00} | {figures.Average(f => f.Without):0.00} | {figures.Average(f => f.Followed / f.Without):0.00} | {figures.Max(f => f.Followed / f.Without):0.00} | {figures.Average(f => f.Constant):0.00} |"));
        }

        int wrong = Enumerable.Range(0, 100).Count(seed => DriftMeter.Measure(MadeDrift.Instants(20 + seed, 1, null, seed), e, e, MadeDrift.Correct).Track is not null);
        Console.WriteLine(FormattableString.Invariant($"\nof 100 clips that hold still (20 to 119 s, light that both see changes) {wrong} were given a course"));
        return 0;
    }

    private static readonly (string Name, Func<double, DriftValue> Course)[] s_courses =
    [
        ("0.7 stop and 40 mired, waves of 20 and 31 s", t => new(0.7 * Math.Sin(2 * Math.PI * t / 20), 40 * Math.Sin(2 * Math.PI * t / 31), 0)),
        ("steps of 0.6 stop and 25 mired", t => new(t is > 20 and < 32 ? 0.6 : 0, t > 45 ? 25 : 0, 0)),
        ("hunting after a flash", t => new(t < 30 ? 0 : -0.9 * Math.Exp(-(t - 30) / 0.8) * Math.Cos(2 * Math.PI * (t - 30) / 1.5), 0, 0)),
        // About its middle, where the one correction is made for.
        ("a rise of 0.4 stop in a minute", t => new(0.4 * ((t / 60) - 0.5), 0, 0)),
        ("0.2 stop of green against magenta", t => new(0, 0, 0.2 * Math.Sin(2 * Math.PI * t / 25))),
    ];
}
