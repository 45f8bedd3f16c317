using System.Collections.Immutable;

namespace Tonematch.Luts.Tables;

/// <summary>Measurements of what can go wrong when a table is used.</summary>
/// <param name="Findings">Every checked property with its figure, its limit and a sentence.</param>
public sealed record LutSafetyReport(ImmutableArray<LutFinding> Findings)
{
    /// <summary>Whether every figure is within its limit.</summary>
    public bool IsSafe => Findings.All(f => f.IsWithin);
}

/// <summary>One property of a table.</summary>
/// <param name="Property">The property checked.</param>
/// <param name="Value">The measured figure.</param>
/// <param name="Limit">The largest figure that counts as safe (common practice, not a standard).</param>
/// <param name="Sentence">What the figure means and, if it exceeds the limit, what to do.</param>
public sealed record LutFinding(LutProperty Property, double Value, double Limit, string Sentence)
{
    /// <summary>The property in words.</summary>
    public string Name => Property switch
    {
        LutProperty.BackwardNeutrals => "reversed greys",
        LutProperty.LocalGain => "amplified noise",
        LutProperty.SlopeChange => "edges in smooth shades",
        LutProperty.ClippedShare => "colours at the limit",
        LutProperty.FoldedShare => "colours that swap places",
        LutProperty.MeanBakingError => "LUT against the exact correction, on average",
        _ => "LUT against the exact correction, at worst",
    };

    /// <summary>Whether the figure does not exceed its limit.</summary>
    public bool IsWithin => Value <= Limit;
}
