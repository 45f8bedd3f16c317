using Tonematch.Corrections;

namespace Tonematch.Fitting;

/// <summary>One correction for all against one for each state of the light, both judged on colours they were not fitted to.</summary>
/// <param name="Kind">The kind they were compared with.</param>
/// <param name="OneForAllMean">Mean CIEDE2000 on colours left out, with one for all.</param>
/// <param name="PerStateMean">The same with one for each state.</param>
/// <param name="IsPerState">One for each is better by the rule that chooses between kinds.</param>
public sealed record StateComparison(CorrectionKind Kind, double OneForAllMean, double PerStateMean, bool IsPerState);
