using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;

namespace Tonematch.Luts.Tables;

/// <summary>The difference between two tables or functions.</summary>
/// <param name="DeltaE">CIEDE2000 of the outputs clamped to 0..1, as displayed in the output's encoding.</param>
/// <param name="MeanCode">Mean absolute difference of the code values, not clamped (1 is the whole range).</param>
/// <param name="MaxCode">Largest absolute difference of a code value, not clamped.</param>
/// <param name="WorstInput">The input with the largest CIEDE2000.</param>
public sealed record LutDifference(DeltaEStatistics DeltaE, double MeanCode, double MaxCode, CodeRgb WorstInput)
{
    // Differences below this are invisible side by side, whatever the picture (common practice: 1 is just visible).
    private const double Invisible = 0.5;

    /// <summary>A sentence on what is lost by writing the correction in a form that cannot hold it exactly.</summary>
    /// <param name="form">The form, which begins the sentence: 'As a CDL'.</param>
    public string Cost(string form) => MaxCode < 1e-4
        ? string.Create(CultureInfo.InvariantCulture, $"{form} this correction is exact (largest code difference {MaxCode:0.0e+0}).")
        : string.Create(CultureInfo.InvariantCulture, $"{form} this correction costs {DeltaE.Mean:0.0#} Delta E on average and {DeltaE.Max:0.0#} at most, of the colours tried")
            + (DeltaE.Max < Invisible ? ": not visible." : DeltaE.Mean < Invisible ? ": visible in a few colours only." : ": visible.");
}
