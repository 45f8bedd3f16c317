using Tonematch.Matching.Outcome;

namespace Tonematch.Exports.Products;

/// <summary>Every figure for other programs.</summary>
internal sealed class JsonProduct : Product
{
    /// <inheritdoc/>
    public override string Name => "match.json";

    /// <inheritdoc/>
    public override string Description => "every figure, for other programs";

    /// <inheritdoc/>
    public override bool IsEvidence => true;

    /// <inheritdoc/>
    public override string Make(MatchOutcome outcome, ProductContext context) => MatchJson.Write(outcome);
}
