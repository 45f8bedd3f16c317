using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Matching.Requests;

/// <summary>A user's request for a fit to a file of pairs.</summary>
/// <param name="PairsPath">The CSV of corresponding colours.</param>
/// <param name="PrimaryEncoding">What the primary's code values mean.</param>
/// <param name="SecondaryEncoding">What the secondary's code values mean.</param>
public sealed record FitRequest(string PairsPath, SignalEncoding PrimaryEncoding, SignalEncoding SecondaryEncoding)
{
    /// <summary>The kind of correction; null for the advised one.</summary>
    public CorrectionKind? Model { get; init; }

    /// <summary>Nodes per side of the LUT, 2..129.</summary>
    public int LutSize { get; init; } = 33;

    /// <summary>The largest mean CIEDE2000 after correction that is good enough; null for no verdict.</summary>
    public double? Tolerance { get; init; }

    /// <summary>Whether the user named no encoding, so that a warning must say that bt709 was assumed.</summary>
    public bool EncodingWasAssumed { get; init; }
}
