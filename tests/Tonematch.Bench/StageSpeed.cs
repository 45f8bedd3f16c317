using System.Diagnostics;
using System.Globalization;
using Tonematch.Matching;
using Tonematch.Matching.Requests;

namespace Tonematch.Bench;

/// <summary>What each stage of a match of two clips takes: wall time, and processor time of this process and of FFmpeg.</summary>
internal static class StageSpeed
{
    /// <summary>Runs: <c>speed-stages PRIMARY SECONDARY [ROUNDS]</c>; the first round pays for compiling.</summary>
    public static int Run(string[] arguments)
    {
        if (arguments.Length is < 2 or > 3)
        {
            Console.Error.WriteLine("speed-stages PRIMARY SECONDARY [ROUNDS]");
            return 2;
        }

        int rounds = arguments.Length > 2 ? int.Parse(arguments[2], CultureInfo.InvariantCulture) : 2;
        for (int round = 1; round <= rounds; round++)
        {
            Console.WriteLine($"| round {round}: stage | wall s | processor s | of it FFmpeg s |");
            Console.WriteLine("|---|---|---|---|");
            Clock clock = new();
            MatchJob.MatchAsync(new MatchRequest(arguments[0], arguments[1]), clock, CancellationToken.None).GetAwaiter().GetResult();
            clock.Report(new("end", 0));
        }

        return 0;
    }

    // Told at the begin of each stage, on the pipeline's own thread.
    private sealed class Clock : IProgress<StageProgress>
    {
        private string? _stage;
        private (double Wall, double Own, double Children) _began;

        public void Report(StageProgress value)
        {
            if (value.Stage == _stage)
            {
                return;
            }

            (double wall, double own, double children) = (Stopwatch.GetTimestamp() / (double)Stopwatch.Frequency, Own(), ProcessorTime.OfChildren());
            if (_stage is not null)
            {
                Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                    $"| {_stage} | {wall - _began.Wall:F2} | {own - _began.Own + children - _began.Children:F2} | {children - _began.Children:F2} |"));
            }

            (_stage, _began) = (value.Stage, (wall, own, children));
        }

        private static double Own() => Environment.CpuUsage.TotalTime.TotalSeconds;
    }
}
