using System.Collections.Immutable;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Samples;

namespace Tonematch.Matching.Stages.Check;

/// <summary>
/// Finds corresponding colours in frames of one instant, by searching or by measuring again at places found earlier,
/// which costs a thousandth as much.
/// </summary>
/// <param name="request">Where to look; marks are in shares of the pictures.</param>
internal sealed class CommonColours(MatchRequest request)
{
    // The search is repeated at this many instants at least, because moving things are found only there.
    private const int FewestSearches = 4;

    // For drift measurement the places of all searches are followed at once, so each contributes only a few.
    private const int CoursePlaces = 80;

    private readonly PlaceFollower _follower = new(CheckStage.LargestSide), _everyFrameFollower = new(CheckStage.EveryFrameSide, CheckStage.EveryFramePlaces),
        _courseFollower = new(CheckStage.EveryFrameSide, CoursePlaces), _fewCourseFollower = new(CheckStage.LargestSide, CoursePlaces);

    /// <summary>False for regions and whole pictures, which need no search.</summary>
    public bool Follows { get; } = request.Regions.IsEmpty && request.Method is null or SamplingMethod.Overlap or SamplingMethod.Chart;

    /// <summary>The first method that found colours; null until one has.</summary>
    public SamplingMethod? Method { get; private set; }

    /// <summary>Adds places found earlier, so that they need not be searched for again.</summary>
    /// <param name="frames">Frames of one instant.</param>
    /// <param name="samples">Samples; those of other instants are ignored.</param>
    public void Remember(MatchedFrames frames, SampleSet samples)
    {
        Method ??= samples.Method;
        SamplePair[] own = [.. samples.Pairs.Where(p => p.Origin?.PrimarySeconds == frames.Primary.Seconds)];
        _follower.Remember(frames, own);
        RememberForCourse(frames, own);
    }

    /// <summary>Everything that can be followed, whichever search found it; for drift measurement.</summary>
    public FollowedColour[] Everywhere(MatchedFrames frames) =>
        _courseFollower.Everywhere(frames).ToArray() is { Length: > 0 } small ? small : [.. _fewCourseFollower.Everywhere(frames)];

    private void RememberForCourse(MatchedFrames frames, IReadOnlyCollection<SamplePair> pairs)
    {
        _courseFollower.Remember(frames, pairs);
        _fewCourseFollower.Remember(frames, pairs);
    }

    /// <summary>The colours of each pair of frames in a batch; empty where nothing in common was found.</summary>
    /// <param name="frames">The batch.</param>
    /// <param name="first">Index of its first instant among all instants.</param>
    /// <param name="count">The total number of instants.</param>
    /// <param name="forEveryFrame">Whether every frame will be examined afterwards.</param>
    /// <param name="cancel">Stops the search.</param>
    public async Task<FollowedColour[][]> InAsync(
        ImmutableArray<MatchedFrames> frames, int first, int count, bool forEveryFrame, CancellationToken cancel)
    {
        int searchEvery = first > 0 ? _searchEvery : _searchEvery = _follower.IsEmpty ? Math.Max(1, count / FewestSearches) : int.MaxValue;
        FollowedColour[]?[] colours = new FollowedColour[]?[frames.Length];
        await SearchAsync(i => !Follows || (first + i) % searchEvery == searchEvery / 2);
        for (int i = 0; i < frames.Length; i++)
        {
            if (colours[i] is null && _follower.At(frames[i]) is { IsEmpty: false } followed)
            {
                colours[i] = [.. followed];
            }
        }

        await SearchAsync(i => colours[i] is null);
        return [.. colours.Select(c => c ?? [])];

        async Task SearchAsync(Func<int, bool> wanted)
        {
            int[] which = [.. Enumerable.Range(0, frames.Length).Where(wanted)];
            SampleSet?[] sets = new SampleSet?[frames.Length];
            await Parallel.ForEachAsync(which, cancel, (i, stop) =>
            {
                sets[i] = Search(frames[i], stop);
                return ValueTask.CompletedTask;
            });
            foreach (int i in which)
            {
                colours[i] = Of(sets[i]);
                Method ??= sets[i]?.Method;
                if (sets[i] is { } found && Follows)
                {
                    _follower.Remember(frames[i], found.Pairs);
                    RememberForCourse(frames[i], found.Pairs);
                    if (forEveryFrame)
                    {
                        _everyFrameFollower.Remember(frames[i], found.Pairs);
                    }
                }
            }
        }
    }

    /// <summary>
    /// The colours of one frame pair when every frame is checked: followed, or measured where the user marked them.
    /// </summary>
    public FollowedColour[] InNext(MatchedFrames frames, CancellationToken cancel)
    {
        if (Follows)
        {
            return [.. _everyFrameFollower.At(frames)];
        }

        SampleSet? set = Search(frames, cancel);
        Method ??= set?.Method;
        return Of(set);
    }

    /// <summary>The colours of whole pictures, for when nothing in common was found at any instant.</summary>
    public FollowedColour[] Overall(MatchedFrames frames)
    {
        Method = SamplingMethod.Overall;
        SampleSet set = OverallSampler.Sample([frames.Primary.Picture], [frames.Secondary.Picture]);
        return set.Refusal is null ? Of(set) : [];
    }

    private int _searchEvery = int.MaxValue;

    private static FollowedColour[] Of(SampleSet? set) =>
        set is null ? [] : [.. set.Pairs.Select(p => new FollowedColour(p.Primary, p.Secondary, p.Weight))];

    private SampleSet? Search(MatchedFrames frames, CancellationToken cancel)
    {
        SamplingMethod[] methods = request.Method is { } asked ? [asked]
            : request.Regions.Length > 0 ? [SamplingMethod.Regions]
            : [SamplingMethod.Overlap, SamplingMethod.Chart];
        return methods.Select(method => SampleStage.By(method, [frames], request, cancel))
            .FirstOrDefault(set => set.Refusal is null && set.Pairs.Length > 0);
    }
}
