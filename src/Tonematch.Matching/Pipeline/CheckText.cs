using System.Globalization;
using System.Text;
using Tonematch.Checking;
using Tonematch.Fitting;
using Tonematch.Samples;

namespace Tonematch.Matching;

/// <summary>A check's result as sentences, JSON and CSV.</summary>
public static class CheckText
{
    /// <summary>Each step in a sentence, and what one correction for all costs; or that there is none.</summary>
    public static IReadOnlyList<string> Steps(CheckResult result)
    {
        ArgumentNullException.ThrowIfNull(result);
        if (result.Steps.IsEmpty)
        {
            return ["No jump of exposure or white balance between the cameras was found."];
        }

        return
        [
            .. result.Steps.Select(Sentence),
            string.Create(CultureInfo.InvariantCulture,
                $"One correction for all has a mean Delta E of {result.OneForAllMean:F2}; with exposure and white balance set anew in each stretch it would be {result.OnePerStateMean:F2}. Cut there and match each part by itself where the difference shows."),
        ];
    }

    /// <summary>Why the check did not pass, in a sentence.</summary>
    public static string WhyMissed(CheckResult result)
    {
        ArgumentNullException.ThrowIfNull(result);
        return result.All.Mean > result.Tolerance
            ? string.Create(CultureInfo.InvariantCulture, $"The mean Delta E is {result.All.Mean:F2}, above the tolerance of {result.Tolerance:0.##}.")
            : string.Create(CultureInfo.InvariantCulture,
                $"The mean Delta E of {result.All.Mean:F2} is within the tolerance of {result.Tolerance:0.##}, but at {result.OverTime.MaxBy(i => i.DeltaE.Mean)!.PrimarySeconds:F2} s of camera A it is {result.OverTime.Max(i => i.DeltaE.Mean):F2}, more than twice as much.");
    }

    /// <summary>The zones that have colours, from dark to light, then neutrals and skin.</summary>
    public static IEnumerable<(string Name, DeltaEStatistics Of)> Zones(CheckResult result)
    {
        ArgumentNullException.ThrowIfNull(result);
        string[] order = ["shadows", "middle", "highlights", "neutrals", "skin"];
        return result.Zones.OrderBy(z => (uint)Array.IndexOf(order, z.Key)).Select(z => (z.Key, z.Value));
    }

    /// <summary>The figures over time, one line an instant.</summary>
    public static string Csv(CheckResult result)
    {
        ArgumentNullException.ThrowIfNull(result);
        StringBuilder text = new("primary_seconds,secondary_seconds,samples,delta_e_mean,delta_e_median,delta_e_95,delta_e_max,exposure_stops,red_green_stops,blue_green_stops\n");
        foreach (InstantFigures i in result.OverTime)
        {
            text.Append(CultureInfo.InvariantCulture, $"{i.PrimarySeconds:F6},{i.SecondarySeconds:F6},{i.DeltaE.Count},{i.DeltaE.Mean:F6},{i.DeltaE.Median:F6},{i.DeltaE.Percentile95:F6},{i.DeltaE.Max:F6},{i.ExposureStops:F6},{i.RedGreenStops:F6},{i.BlueGreenStops:F6}\n");
        }

        return text.ToString();
    }

    /// <summary>Everything, for JSON.</summary>
    public static object Describe(CheckOutcome outcome)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        return new
        {
            Schema = "tonematch-check-1",
            Program = ProgramVersion.Text,
            Primary = outcome.Primary.Path,
            Secondary = outcome.Secondary.Path,
            Sync = outcome.Sync is { } s ? MatchJson.Sync(s) : null,
            Method = outcome.Method.Name(),
            outcome.LookedAt,
            outcome.EveryFrame,
            outcome.Result.Passes,
            outcome.Result.Tolerance,
            outcome.Result.All,
            outcome.Result.Zones,
            outcome.Result.OverTime,
            outcome.Result.Steps,
            outcome.Result.OneForAllMean,
            outcome.Result.OnePerStateMean,
            outcome.Warnings,
        };
    }

    private static string Sentence(MatchStep step)
    {
        List<string> what = [];
        if (step.IsExposure)
        {
            what.Add(string.Create(CultureInfo.InvariantCulture, $"exposure by {step.ExposureStops:+0.00;-0.00} stop"));
        }

        if (step.IsWhiteBalance)
        {
            what.Add(string.Create(CultureInfo.InvariantCulture, $"white balance (red {step.RedGreenStops:+0.00;-0.00}, blue {step.BlueGreenStops:+0.00;-0.00} stop against green)"));
        }

        return string.Create(CultureInfo.InvariantCulture,
            $"At {step.PrimarySeconds:F2} s of camera A ({step.SecondarySeconds:F2} s of camera B) camera B changes against camera A: {string.Join(" and ", what)}.");
    }
}
