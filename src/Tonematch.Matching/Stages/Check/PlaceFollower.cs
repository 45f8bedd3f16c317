using System.Collections.Immutable;
using Tonematch.Matching.Outcome;
using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Matching.Stages.Check;

/// <summary>
/// Measures again, at other instants, the places that a search once found: searching costs most of a second a pair of
/// frames, measuring again a millisecond.
/// </summary>
internal sealed class PlaceFollower
{
    // So few places, or so small a share of them, and the instant is better searched anew.
    private const int FewestPlaces = 12;
    private const double SmallestShare = 0.5;

    // The nearest finds in time are asked: before, after, and one more.
    private const int MostAsked = 3;

    // Numbers of places of one find lie below this.
    private const int NumbersAFind = 1_000_000;

    private readonly int _side;
    private readonly int _mostPlaces;
    private readonly List<(double Seconds, FollowedPlaces Places)> _found = [];

    /// <summary>Follows in pictures whose longer side has so many pixels at most, so many places of each find.</summary>
    public PlaceFollower(int side, int mostPlaces = int.MaxValue) => (_side, _mostPlaces) = (side, mostPlaces);

    /// <summary>Nothing was found yet.</summary>
    public bool IsEmpty => _found.Count == 0;

    /// <summary>Remembers where samples were found.</summary>
    /// <param name="frames">The frames they were found in.</param>
    /// <param name="pairs">Found in these frames, their places in shares of the pictures.</param>
    public void Remember(MatchedFrames frames, IEnumerable<SamplePair> pairs)
    {
        FollowedPlaces places = FollowedPlaces.InSmall(frames.Primary.Picture, frames.Secondary.Picture, pairs, _side, _mostPlaces);
        if (places.Count >= FewestPlaces)
        {
            _found.Add((frames.Primary.Seconds, places));
        }
    }

    /// <summary>The colours of places found at the nearest other instants; empty when too few still look the same.</summary>
    public ImmutableArray<FollowedColour> At(MatchedFrames frames)
    {
        (Picture primary, Picture secondary) = (frames.Primary.Picture, frames.Secondary.Picture);
        foreach ((_, FollowedPlaces places) in _found.OrderBy(f => Math.Abs(f.Seconds - frames.Primary.Seconds)).Take(MostAsked))
        {
            if (places.Fits(primary, secondary))
            {
                ImmutableArray<FollowedColour> colours = places.At(primary, secondary);
                if (colours.Length >= Math.Max(FewestPlaces, SmallestShare * places.Count))
                {
                    return colours;
                }
            }
        }

        return [];
    }

    /// <summary>
    /// The colours of all places of all finds that still look the same, numbered over all finds: a thing keeps its number
    /// for as long as it is followed.
    /// </summary>
    public IEnumerable<FollowedColour> Everywhere(MatchedFrames frames)
    {
        (Picture primary, Picture secondary) = (frames.Primary.Picture, frames.Secondary.Picture);
        return _found.SelectMany((f, k) => f.Places.Fits(primary, secondary)
            ? f.Places.At(primary, secondary).Select(c => c with { Place = (k * NumbersAFind) + c.Place })
            : []);
    }
}
