using System.Collections.Immutable;
using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>How a clip is placed on a timeline, with black and silence where it did not run.</summary>
/// <param name="Place">The clip's place.</param>
/// <param name="FrameRate">The timeline's rate.</param>
/// <param name="Frames">The timeline's number of frames, above 0.</param>
public sealed record AlignedOptions(AlignedPlace Place, Rational FrameRate, long Frames)
{
    /// <summary>
    /// Clips whose sound becomes the first track, with the clip's own sound as the second; empty for its own sound
    /// only.
    /// </summary>
    public ImmutableArray<AlignedPlace> SoundFrom { get; init; } = [];
}
