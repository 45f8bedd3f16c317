using System.Globalization;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Formats.Cdl;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;

namespace Tonematch.Exports.Products;

/// <summary>The nearest ASC CDL.</summary>
internal sealed class CdlProduct : Product
{
    /// <inheritdoc/>
    public override string Name => "correction.cdl";

    /// <inheritdoc/>
    public override string Description => "the nearest ASC CDL, for where no LUT can be loaded";

    /// <inheritdoc/>
    public override bool IsMadeOf(MatchOutcome outcome) => Of(outcome) is not null;

    /// <inheritdoc/>
    public override string Make(MatchOutcome outcome, ProductContext context)
    {
        FittedCandidate cdl = Of(outcome) ?? throw new InvalidOperationException("This outcome has no CDL.");
        CdlNumbers numbers = CdlNumbers.Of((CdlCorrection)cdl.Correction, "tonematch", string.Create(CultureInfo.InvariantCulture,
            $"{ProgramVersion.Text}. On code values ({outcome.Samples.PrimaryEncoding.Name}). Mean Delta E {cdl.Train.Mean:F2}; the LUT of the same match has {outcome.Chosen.After.Mean:F2}."));
        return ReadBack.Text(
            Name,
            w => CdlFormat.Write(w, CdlFileKind.DecisionList, numbers),
            text => { CdlNumbers back = CdlFormat.Read(text, Name)[0]; return code => back.Apply(code); },
            cdl.Correction.Apply).Text;
    }

    // With a trim, the CDL nearest to correction and trim together. Null if none could be fitted, or if the encodings
    // differ or an input LUT comes first, which a CDL alone cannot express.
    private static FittedCandidate? Of(MatchOutcome outcome) =>
        outcome.Samples.PrimaryEncoding == outcome.Samples.SecondaryEncoding && outcome.WithInput is null
            ? outcome.Chosen.Candidate.Correction is TrimmedCorrection
                ? outcome.TrimmedCdl
                : outcome.Fit.Candidates.FirstOrDefault(c => c.Correction.Kind == CorrectionKind.Cdl)
            : null;
}
