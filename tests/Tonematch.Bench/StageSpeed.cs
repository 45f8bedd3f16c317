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
            StageClock clock = new((stage, cost) => Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"| {stage} | {cost.Wall:F2} | {cost.Own + cost.Children:F2} | {cost.Children:F2} |")));
            MatchJob.MatchAsync(new MatchRequest(arguments[0], arguments[1]), clock, CancellationToken.None).GetAwaiter().GetResult();
            clock.End();
        }

        return 0;
    }
}
