using Tonematch.Corrections;
using Tonematch.Formats.Clf;
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
        ClfFile clf = new([.. outcome.WithInput?.Input.Steps ?? [], .. ClfExport.Of(correction, outcome.Chosen.Lut.Size).File.Nodes])
        {
            Id = $"tonematch-{correction.Kind.Name()}",
            Name = CubeProduct.TitleOf(outcome),
            Description = $"Colour match: kind {correction.Kind.Name()}",
            InputDescriptor = outcome.WithInput is null ? $"{outcome.Samples.SecondaryEncoding.Name} code values of camera B" : "code values of camera B as recorded",
            OutputDescriptor = $"{outcome.Samples.PrimaryEncoding.Name} code values like camera A's",
        };
        return ReadBack.Text(Name, w => ClfFormat.Write(w, clf), text => ClfFormat.Read(text, Name).Apply, clf.Apply).Text;
    }
}
