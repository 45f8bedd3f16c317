using Tonematch.Corrections;
using Tonematch.Formats.Clf;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;

namespace Tonematch.Exports.Products;

/// <summary>The correction as Common LUT Format: exact steps where possible.</summary>
internal sealed class ClfProduct : Product
{
    /// <inheritdoc/>
    public override string Name => "correction.clf";

    /// <inheritdoc/>
    public override string Description => "the same as Common LUT Format";

    /// <inheritdoc/>
    public override string Make(MatchOutcome outcome, ProductContext context)
    {
        Correction correction = outcome.Chosen.Candidate.Correction;
        ClfFile clf = ClfExport.Of(correction, outcome.Chosen.Lut.Size).File with
        {
            Id = $"tonematch-{correction.Kind.Name()}",
            Name = $"{ProgramVersion.Text} {correction.Kind.Name()}",
            InputDescriptor = $"{outcome.Samples.SecondaryEncoding.Name} code values of camera B",
            OutputDescriptor = $"{outcome.Samples.PrimaryEncoding.Name} code values like camera A's",
        };
        return ReadBack.Text(Name, w => ClfFormat.Write(w, clf), text => ClfFormat.Read(text, Name).Apply, clf.Apply).Text;
    }
}
