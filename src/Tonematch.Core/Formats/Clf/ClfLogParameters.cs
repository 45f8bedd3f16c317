namespace Tonematch.Formats.Clf;

/// <summary>
/// One channel of a Log node: y = LogSideSlope * log(LinSideSlope * x + LinSideOffset) + LogSideOffset, and below
/// LinSideBreak a straight line that meets it there.
/// </summary>
/// <param name="Base">The logarithm's base, above 0 and not 1; 2 by default.</param>
/// <param name="LogSideSlope">Not 0.</param>
/// <param name="LogSideOffset">Any.</param>
/// <param name="LinSideSlope">Not 0.</param>
/// <param name="LinSideOffset">Any.</param>
/// <param name="LinSideBreak">Where the straight line ends; camera styles only.</param>
/// <param name="LinearSlope">The straight line's slope; by default the curve's slope at the break.</param>
public sealed record ClfLogParameters(
    double Base = 2,
    double LogSideSlope = 1,
    double LogSideOffset = 0,
    double LinSideSlope = 1,
    double LinSideOffset = 0,
    double? LinSideBreak = null,
    double? LinearSlope = null);
