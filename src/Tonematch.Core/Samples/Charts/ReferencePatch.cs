using Tonematch.Colour;

namespace Tonematch.Samples.Charts;

/// <summary>A patch of a chart as published or measured.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Colour">Tristimulus values under the chart's illuminant; Y = 1 is the perfect diffuser.</param>
public sealed record ReferencePatch(string Name, Xyz Colour);
