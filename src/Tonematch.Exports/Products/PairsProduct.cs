using System.Globalization;
using Tonematch.Formats.Pairs;
using Tonematch.Matching.Outcome;

namespace Tonematch.Exports.Products;

/// <summary>The corresponding colours.</summary>
internal sealed class PairsProduct : Product
{
    /// <inheritdoc/>
    public override string Name => "pairs.csv";

    /// <inheritdoc/>
    public override string Description => "the corresponding colours";

    /// <inheritdoc/>
    public override string Make(MatchOutcome outcome, ProductContext context)
    {
        StringWriter text = new(CultureInfo.InvariantCulture);
        PairsCsv.Write(text, outcome.Samples);
        return text.ToString();
    }
}
