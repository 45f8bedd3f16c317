using Tonematch.Matching.Outcome;
using Tonematch.Reporting;

namespace Tonematch.Exports.Products;

/// <summary>The report: one page.</summary>
internal sealed class ReportProduct : Product
{
    /// <inheritdoc/>
    public override string Name => "report.html";

    /// <inheritdoc/>
    public override string Description => "the evidence, one page: open it first";

    /// <inheritdoc/>
    public override bool IsEvidence => true;

    /// <inheritdoc/>
    public override string Make(MatchOutcome outcome, ProductContext context) => MatchReport.Render(outcome, context.Report);
}
