using System.Globalization;
using Tonematch.Formats;
using Tonematch.Matching.Outcome;

namespace Tonematch.Exports.Products;

/// <summary>The drift of exposure or white balance.</summary>
internal sealed class DriftProduct : Product
{
    /// <inheritdoc/>
    public override string Name => "drift.csv";

    /// <inheritdoc/>
    public override string Description => "how exposure or white balance wandered, for render --drift";

    /// <inheritdoc/>
    public override bool IsMadeOf(MatchOutcome outcome) => outcome.Drift is not null;

    /// <inheritdoc/>
    public override string Make(MatchOutcome outcome, ProductContext context)
    {
        StringWriter text = new(CultureInfo.InvariantCulture);
        DriftCsv.Write(text, outcome.Drift!.Track);
        return text.ToString();
    }
}
