using System.Globalization;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;

namespace Tonematch.Matching.Words;

/// <summary>A check's result in sentences.</summary>
public static class CheckWords
{
    // A quarter of what is just visible side by side: less is not worth a second file, which is easily applied to the
    // wrong part.
    private const double WorthParts = 0.25;

    /// <summary>
    /// One sentence per step, and what one correction for all costs; or a sentence that there is none.
    /// </summary>
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
                $"One correction for all parts leaves a mean Delta E of {result.OneForAllMean:F2}; with exposure and white balance adjusted in each part it would be {result.OnePerStateMean:F2}. {(result.OneForAllMean - result.OnePerStateMean >= WorthParts ? "Matching each part separately (--at) is worth it here." : "The difference is too small to match each part separately.")}"),
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

    /// <summary>The zones that hold colours, from dark to light, then neutrals and skin.</summary>
    public static IEnumerable<(string Name, DeltaEStatistics Of)> Zones(CheckResult result)
    {
        ArgumentNullException.ThrowIfNull(result);
        string[] order = ["shadows", "middle", "highlights", "neutrals", "skin"];
        return result.Zones.OrderBy(z => (uint)Array.IndexOf(order, z.Key)).Select(z => (z.Key, z.Value));
    }

    private static string Sentence(MatchStep step)
    {
        List<string> what = [];
        if (step.IsExposure)
        {
            what.Add(string.Create(CultureInfo.InvariantCulture, $"exposure by {step.ExposureStops:+0.00;-0.00;0.00} stop"));
        }

        if (step.IsWhiteBalance)
        {
            what.Add(string.Create(CultureInfo.InvariantCulture, $"white balance (red {step.RedGreenStops:+0.00;-0.00;0.00}, blue {step.BlueGreenStops:+0.00;-0.00;0.00} stop against green)"));
        }

        return string.Create(CultureInfo.InvariantCulture,
            $"At {step.PrimarySeconds:F2} s of camera A ({step.SecondarySeconds:F2} s of camera B) camera B changes against camera A: {string.Join(" and ", what)}.");
    }
}
