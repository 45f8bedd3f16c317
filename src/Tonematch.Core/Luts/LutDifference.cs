using Tonematch.Colour;
using Tonematch.Fitting;

namespace Tonematch.Luts;

/// <summary>How far two tables or functions are apart.</summary>
/// <param name="DeltaE">CIEDE2000 of the outputs limited to 0..1, as seen through the output's encoding.</param>
/// <param name="MeanCode">Mean absolute difference of the code values, not limited (1 is the whole range).</param>
/// <param name="MaxCode">Largest absolute difference of a code value, not limited.</param>
/// <param name="WorstInput">The input with the largest CIEDE2000.</param>
public sealed record LutDifference(DeltaEStatistics DeltaE, double MeanCode, double MaxCode, CodeRgb WorstInput);
