using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>Where a clip lies on a timeline that begins at 0.</summary>
/// <param name="Clip">From <see cref="ClipProbe"/>.</param>
/// <param name="StartSeconds">The timeline's time when the clip's own time is 0; below 0 its beginning is cut off.</param>
/// <param name="RatePpm">By how much the clip counts more seconds than the timeline, parts per million.</param>
public sealed record AlignedPlace(ClipInfo Clip, double StartSeconds, double RatePpm);
