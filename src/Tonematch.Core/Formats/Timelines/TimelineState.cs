namespace Tonematch.Formats.Timelines;

/// <summary>A part of a clip with its own correction, because the light differs there.</summary>
/// <param name="FromSeconds">Where it begins, in the clip's own time.</param>
/// <param name="ToSeconds">Where it ends.</param>
/// <param name="Name">The state's display name.</param>
/// <param name="Correction">The correction's file, relative to the timeline's file.</param>
/// <param name="CorrectionSha256">That file's SHA-256 in hexadecimal digits, or null.</param>
public sealed record TimelineState(double FromSeconds, double ToSeconds, string Name, string Correction, string? CorrectionSha256);
