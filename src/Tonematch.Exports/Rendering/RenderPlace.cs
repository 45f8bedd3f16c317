namespace Tonematch.Exports.Rendering;

/// <summary>A clip's place on the timeline.</summary>
/// <param name="Clip">Absolute path.</param>
/// <param name="StartSeconds">The timeline's time when the clip's own time is 0.</param>
/// <param name="RatePpm">By how much it counts more seconds than the timeline, parts per million.</param>
public sealed record RenderPlace(string Clip, double StartSeconds, double RatePpm);
