using Tonematch.Colour.DeltaE;

namespace Tonematch.Reporting;

/// <summary>One kind of correction as it was fitted.</summary>
/// <param name="Name">Its name, e.g. 'lift-gamma-gain'.</param>
/// <param name="Numbers">How many numbers define it.</param>
/// <param name="Train">CIEDE2000 on the colours it was fitted to.</param>
/// <param name="CrossValidated">CIEDE2000 on colours left out of the fit, or null.</param>
/// <param name="UnseenPlaces">CIEDE2000 in places left out of the fit, or null.</param>
/// <param name="StandardError">Standard error of the cross-validated mean, or null.</param>
/// <param name="Advised">Whether the figures advise this one.</param>
/// <param name="Chosen">Whether this one is delivered.</param>
public sealed record ReportKind(
    string Name,
    int Numbers,
    DeltaEStatistics Train,
    DeltaEStatistics? CrossValidated,
    DeltaEStatistics? UnseenPlaces,
    double? StandardError,
    bool Advised,
    bool Chosen)
{
    /// <summary>The figures to judge it by: <see cref="CrossValidated"/>, or those of the fit if there are none.</summary>
    public DeltaEStatistics HeldOutOrFitted => CrossValidated ?? Train;
}
