using System.Globalization;
using System.Text;
using Tonematch.Checking;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Samples;

namespace Tonematch.Exports;

/// <summary>A check's result as JSON and CSV.</summary>
public static class CheckExport
{
    /// <summary>The figures over time, one line per instant.</summary>
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

    /// <summary>The whole check as an object for JSON.</summary>
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
            Drift = outcome.Drift is { } drift ? MatchJson.Drift(drift) : null,
            outcome.Warnings,
        };
    }
}
