using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>A clip's place on a timeline that begins at 0.</summary>
/// <param name="Clip">From <see cref="ClipProbe"/>.</param>
/// <param name="StartSeconds">The timeline's time at the clip's own time 0; if negative, the clip's beginning is cut off.</param>
/// <param name="RatePpm">How much faster the clip's clock counts than the timeline, parts per million.</param>
public sealed record AlignedPlace(ClipInfo Clip, double StartSeconds, double RatePpm);
