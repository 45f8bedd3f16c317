using System.Collections.Immutable;
using Tonematch.Matching.Outcome;
using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Matching.Stages.Check;

/// <summary>
/// Measures places found by a search again at other instants: a search takes most of a second per pair of frames,
/// measuring again a millisecond.
/// </summary>
internal sealed class PlaceFollower
{
    // With fewer places than this, or a smaller share of them, a new search is better.
    private const int FewestPlaces = 12;
    private const double SmallestShare = 0.5;

    // The searches nearest in time are used: before, after, and one more.
    private const int MostAsked = 3;

    // A view that is not near where it was last is searched for in the whole picture at every n-th frame.
    private const int SearchEvery = 5;

    // More places than this do not measure a drift any better.
    private const int EnoughFollowed = 240;

    // Place numbers within one search are below this.
    private const int NumbersAFind = 1_000_000;

    private readonly int _mostPlaces;
    private readonly List<(double Seconds, FollowedPlaces Places, ViewShifts Last)> _found = [];
    private readonly HashSet<int> _followed = [];
    private int _asked;

    /// <summary>
    /// Follows at most <paramref name="mostPlaces"/> places per search, in pictures of the size they were found in.
    /// </summary>
    public PlaceFollower(int mostPlaces = int.MaxValue) => _mostPlaces = mostPlaces;

    /// <summary>Whether nothing has been found yet.</summary>
    public bool IsEmpty => _found.Count == 0;

    /// <summary>Remembers where samples were found.</summary>
    /// <param name="frames">The frames they were found in.</param>
    /// <param name="pairs">Found in these frames; places are in shares of the pictures.</param>
    public void Remember(MatchedFrames frames, IEnumerable<SamplePair> pairs)
    {
        FollowedPlaces places = FollowedPlaces.From(frames.Primary.Picture, frames.Secondary.Picture, pairs, _mostPlaces);
        if (places.Count >= FewestPlaces)
        {
            _found.Add((frames.Primary.Seconds, places, default));
        }
    }

    /// <summary>
    /// The colours of places found at the nearest other instants; empty if too few still look the same. Ask in order of
    /// time: views that move are followed from frame to frame.
    /// </summary>
    public ImmutableArray<FollowedColour> At(MatchedFrames frames)
    {
        (Picture primary, Picture secondary) = (frames.Primary.Picture, frames.Secondary.Picture);
        foreach (int k in Enumerable.Range(0, _found.Count).OrderBy(k => Math.Abs(_found[k].Seconds - frames.Primary.Seconds)).Take(MostAsked).ToArray())
        {
            if (_found[k].Places is { } places && places.Fits(primary, secondary))
            {
                ImmutableArray<FollowedColour> colours = places.At(primary, secondary, Located(k, primary, secondary, everywhere: true));
                if (colours.Length >= Math.Max(FewestPlaces, SmallestShare * places.Count))
                {
                    return colours;
                }
            }
        }

        return [];
    }

    /// <summary>
    /// The colours of the places of all searches that still look the same, numbered across searches: an object keeps
    /// its number for as long as it is followed. Ask in order of time: views that move are followed from frame to frame.
    /// Once enough is followed, the places of further searches are left alone.
    /// </summary>
    public IEnumerable<FollowedColour> Everywhere(MatchedFrames frames)
    {
        (Picture primary, Picture secondary) = (frames.Primary.Picture, frames.Secondary.Picture);
        bool everywhere = _asked++ % SearchEvery == 0;
        List<FollowedColour> colours = [];
        foreach (int k in Enumerable.Range(0, _found.Count).OrderBy(k => _followed.Contains(k) ? 0 : 1).ToArray())
        {
            if (colours.Count >= EnoughFollowed)
            {
                break;
            }

            _followed.Remove(k);
            if (_found[k].Places is { } places && places.Fits(primary, secondary))
            {
                ImmutableArray<FollowedColour> here = places.At(primary, secondary, Located(k, primary, secondary, everywhere));
                colours.AddRange(here.Select(c => c with { Place = (k * NumbersAFind) + c.Place }));
                if (here.Length >= FewestPlaces)
                {
                    _followed.Add(k);
                }
            }
        }

        return colours;
    }

    // What is not located may be half covered: each place is recognised by itself, where the views were last.
    private ViewShifts Located(int k, Picture primary, Picture secondary, bool everywhere)
    {
        (double seconds, FollowedPlaces places, ViewShifts last) = _found[k];
        ViewShifts shifts = places.Located(primary, secondary, last, everywhere) ?? last;
        _found[k] = (seconds, places, shifts);
        return shifts;
    }
}
