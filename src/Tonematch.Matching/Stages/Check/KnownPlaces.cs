using Tonematch.Matching.Outcome;
using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Matching.Stages.Check;

/// <summary>
/// Everything two cameras were found to see in common, to be followed at other instants, and in other clips of the same
/// cameras if they stood still or moved little.
/// </summary>
internal sealed class KnownPlaces
{
    // For drift measurement the places of all searches are followed at once, so each contributes only a few.
    private const int CoursePlaces = 80;

    /// <summary>Followed at single instants, in pictures of <see cref="CheckStage.LargestSide"/>.</summary>
    public PlaceFollower AtInstants { get; } = new();

    /// <summary>Followed in every frame, in pictures of <see cref="CheckStage.EveryFrameSide"/>.</summary>
    public PlaceFollower InEveryFrame { get; } = new(CheckStage.EveryFramePlaces);

    private readonly PlaceFollower _course = new(CoursePlaces), _courseAtInstants = new(CoursePlaces);

    /// <summary>The method by which the first places were found; null while there are none.</summary>
    public SamplingMethod? Method { get; private set; }

    /// <summary>The places of the samples of a match.</summary>
    /// <param name="frames">The frames they were found in.</param>
    /// <param name="samples">Samples, their places in shares of the pictures.</param>
    public static KnownPlaces Of(IEnumerable<MatchedFrames> frames, SampleSet samples)
    {
        KnownPlaces known = new();
        foreach (MatchedFrames one in frames)
        {
            known.Remember(one, samples, forEveryFrame: false);
        }

        return known;
    }

    /// <summary>Adds the places of samples.</summary>
    /// <param name="frames">Frames of one instant.</param>
    /// <param name="samples">Samples, their places in shares of the pictures; those of other instants are ignored.</param>
    /// <param name="forEveryFrame">Whether every frame will be examined afterwards.</param>
    public void Remember(MatchedFrames frames, SampleSet samples, bool forEveryFrame)
    {
        Method ??= samples.Method;
        SamplePair[] pairs = [.. samples.Pairs.Where(p => p.Origin?.PrimarySeconds == frames.Primary.Seconds)];
        MatchedFrames small = Small(frames, CheckStage.EveryFrameSide), large = Small(frames, CheckStage.LargestSide);
        AtInstants.Remember(large, pairs);
        _courseAtInstants.Remember(large, pairs);
        _course.Remember(small, pairs);
        if (forEveryFrame)
        {
            InEveryFrame.Remember(small, pairs);
        }
    }

    /// <summary>Everything that can be followed, whichever search found it; for drift measurement.</summary>
    public FollowedColour[] Everywhere(MatchedFrames frames) =>
        _course.Everywhere(frames).ToArray() is { Length: > 0 } small ? small : [.. _courseAtInstants.Everywhere(frames)];

    private static MatchedFrames Small(MatchedFrames frames, int side) => frames with
    {
        Primary = frames.Primary with { Picture = PictureScale.ToSmall(frames.Primary.Picture, side) },
        Secondary = frames.Secondary with { Picture = PictureScale.ToSmall(frames.Secondary.Picture, side) },
    };
}
