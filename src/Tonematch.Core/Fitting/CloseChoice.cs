using Tonematch.Corrections;

namespace Tonematch.Fitting;

/// <summary>A choice between two kinds that the samples cannot decide; the stiffer one is advised.</summary>
/// <param name="Advised">The stiffer kind.</param>
/// <param name="Richer">The kind with the smallest cross-validated mean.</param>
/// <param name="Difference">How much smaller that mean is, CIEDE2000, 0 or more.</param>
/// <param name="Uncertainty">Standard error of the difference between the two on the same groups.</param>
public sealed record CloseChoice(CorrectionKind Advised, CorrectionKind Richer, double Difference, double Uncertainty);
