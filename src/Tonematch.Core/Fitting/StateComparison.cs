using Tonematch.Corrections;

namespace Tonematch.Fitting;

/// <summary>
/// Compares one correction for all with one for each lighting state, both tested on colours left out of the fit.
/// </summary>
/// <param name="Kind">The kind used for the comparison.</param>
/// <param name="OneForAllMean">Mean CIEDE2000 on colours left out, with one correction for all.</param>
/// <param name="PerStateMean">The same with one for each state.</param>
/// <param name="IsPerState">Whether one for each is better by the rule that chooses between kinds.</param>
public sealed record StateComparison(CorrectionKind Kind, double OneForAllMean, double PerStateMean, bool IsPerState);
