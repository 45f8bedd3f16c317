using System.Collections.Immutable;
using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>How a clip is laid on a timeline: black and silence where it did not run.</summary>
/// <param name="Place">Where the clip lies.</param>
/// <param name="FrameRate">The timeline's rate.</param>
/// <param name="Frames">How many frames the timeline has, above 0.</param>
public sealed record AlignedOptions(AlignedPlace Place, Rational FrameRate, long Frames)
{
    /// <summary>Clips whose sound becomes the first track, the own sound the second; none: the own sound alone.</summary>
    public ImmutableArray<AlignedPlace> SoundFrom { get; init; } = [];
}
