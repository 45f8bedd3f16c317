using System.Collections.Immutable;

namespace Tonematch.Luts.Tables;

/// <summary>What can go wrong with a table in use, measured.</summary>
/// <param name="Findings">Every property looked at, each with its figure, its limit and a sentence.</param>
public sealed record LutSafetyReport(ImmutableArray<LutFinding> Findings)
{
    /// <summary>Every figure is within its limit.</summary>
    public bool IsSafe => Findings.All(f => f.IsWithin);
}

/// <summary>One property of a table.</summary>
/// <param name="Property">What was looked at.</param>
/// <param name="Value">The figure.</param>
/// <param name="Limit">The largest figure that counts as safe (common practice, not a standard).</param>
/// <param name="Sentence">What the figure means and, when it is beyond the limit, what to do.</param>
public sealed record LutFinding(LutProperty Property, double Value, double Limit, string Sentence)
{
    /// <summary>The property in words.</summary>
    public string Name => Property switch
    {
        LutProperty.BackwardNeutrals => "greys that swap places",
        LutProperty.LocalGain => "noise made stronger",
        LutProperty.SlopeChange => "edges in smooth shades",
        LutProperty.ClippedShare => "colours at the limit",
        LutProperty.FoldedShare => "colours that swap places",
        LutProperty.MeanBakingError => "LUT against the exact correction, on average",
        _ => "LUT against the exact correction, at worst",
    };

    /// <summary>The figure does not exceed its limit.</summary>
    public bool IsWithin => Value <= Limit;
}
