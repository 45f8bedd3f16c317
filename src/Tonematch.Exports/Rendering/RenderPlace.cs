namespace Tonematch.Exports.Rendering;

/// <summary>A clip's place on the timeline.</summary>
/// <param name="Clip">Absolute path.</param>
/// <param name="StartSeconds">The timeline's time at the clip's own time 0.</param>
/// <param name="RatePpm">How much faster the clip's clock counts than the timeline, parts per million.</param>
public sealed record RenderPlace(string Clip, double StartSeconds, double RatePpm);
