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
/// <param name="known">Receives what is found. What it holds already is followed without a search.</param>
internal sealed class CommonColours(MatchRequest request, KnownPlaces known)
{
    // The search is repeated at this many instants at least, because moving things are found only there.
    private const int FewestSearches = 4;

    // Where following failed, so many instants are searched at a time, and what they show is followed at the others.
    private const int SearchedAtATime = 2;

    /// <summary>False for regions and whole pictures, which need no search.</summary>
    public bool Follows { get; } = request.Regions.IsEmpty && request.Method is null or SamplingMethod.Overlap or SamplingMethod.Chart;

    /// <summary>The first method that found colours; null until one has.</summary>
    public SamplingMethod? Method { get; private set; }

    /// <summary>The colours of each pair of frames in a batch; empty where nothing in common was found.</summary>
    /// <param name="frames">The batch.</param>
    /// <param name="first">Index of its first instant among all instants.</param>
    /// <param name="count">The total number of instants.</param>
    /// <param name="forEveryFrame">Whether every frame will be examined afterwards.</param>
    /// <param name="cancel">Stops the search.</param>
    public async Task<FollowedColour[][]> InAsync(
        ImmutableArray<MatchedFrames> frames, int first, int count, bool forEveryFrame, CancellationToken cancel)
    {
        int searchEvery = first > 0 ? _searchEvery : _searchEvery = known.AtInstants.IsEmpty ? Math.Max(1, count / FewestSearches) : int.MaxValue;
        FollowedColour[]?[] colours = new FollowedColour[]?[frames.Length];
        await SearchAsync([.. Enumerable.Range(0, frames.Length).Where(i => !Follows || (first + i) % searchEvery == searchEvery / 2)]);
        while (true)
        {
            Follow();
            int[] left = [.. Enumerable.Range(0, frames.Length).Where(i => colours[i] is null)];
            if (left.Length == 0)
            {
                return [.. colours.Select(c => c ?? [])];
            }

            await SearchAsync([.. left.Take(SearchedAtATime)]);
        }

        void Follow()
        {
            for (int i = 0; i < frames.Length; i++)
            {
                if (colours[i] is null && known.AtInstants.At(frames[i]) is { IsEmpty: false } followed)
                {
                    colours[i] = [.. followed];
                    Method ??= known.Method;
                }
            }
        }

        async Task SearchAsync(int[] which)
        {
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
                    known.Remember(frames[i], found, forEveryFrame);
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
            return [.. known.InEveryFrame.At(frames)];
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
