namespace Tonematch.Exports.Rendering;

/// <summary>A part of a clip with its own correction.</summary>
/// <param name="FromSeconds">Where it begins, in the clip's own time; it ends where the next one begins.</param>
/// <param name="Correction">Absolute path of the correction.</param>
public sealed record RenderState(double FromSeconds, string Correction);
