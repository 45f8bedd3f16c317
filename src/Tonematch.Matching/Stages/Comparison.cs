using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.CompilerServices;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Matching.Stages;

/// <summary>Compares two clips whose place in time is known.</summary>
/// <param name="primary">The primary clip.</param>
/// <param name="secondary">The secondary clip.</param>
/// <param name="sync">How they lie in time; null for still pictures.</param>
/// <param name="request">Where to find corresponding colours.</param>
/// <param name="correct">Secondary code values to corrected ones, or null: as they are.</param>
/// <param name="tolerance">The mean CIEDE2000 that passes.</param>
internal sealed class Comparison(
    ClipInfo primary, ClipInfo secondary, SyncFound? sync, MatchRequest request, Func<CodeRgb, CodeRgb>? correct, double tolerance)
{
    // A few instants a minute find every step that lasts; more only cost time, and every frame leaves none out.
    private const double SecondsBetween = 30;
    private const int FewestInstants = 12;
    private const int MostInstants = 120;
    private const int AtATime = 6;
    private const int LargestSide = 960;

    // Things are searched for anew at so many instants at least: what moves is seen only there.
    private const int FewestSearches = 4;

    // Every frame is looked at in this size: decoding is what costs then, and patches still hold tens of pixels.
    private const int EveryFrameSide = 480;

    // So many give a frame's mean to a tenth of a Delta E where single places scatter by 1.5, and cost less than decoding.
    private const int EveryFramePlaces = 250;

    private readonly SignalEncoding _primaryEncoding = request.PrimaryEncoding ?? primary.Encoding;
    private readonly Func<CodeRgb, CodeRgb> _correct = correct
        ?? new IdentityCorrection(request.SecondaryEncoding ?? secondary.Encoding, request.PrimaryEncoding ?? primary.Encoding).Apply;

    private readonly PlaceFollower _follower = new(LargestSide), _everyFrameFollower = new(EveryFrameSide, EveryFramePlaces);
    private readonly List<MatchedFrames> _withoutCommon = [];
    private SamplingMethod? _method;

    /// <summary>Regions and whole pictures need no search, so nothing is followed.</summary>
    private bool Follows => request.Regions.IsEmpty && request.Method is null or SamplingMethod.Overlap or SamplingMethod.Chart;

    /// <summary>Tells of samples that were found before, so that they need not be searched for again.</summary>
    /// <param name="frames">Frames of one instant.</param>
    /// <param name="samples">Samples, places in the clips' own pixels; those of other instants are passed over.</param>
    public void Remember(MatchedFrames frames, SampleSet samples)
    {
        ArgumentNullException.ThrowIfNull(frames);
        ArgumentNullException.ThrowIfNull(samples);
        _method ??= samples.Method;
        (double primaryScale, double secondaryScale) = frames.ScaleOf(primary, secondary);
        _follower.Remember(frames, samples.WithPlacesScaled(primaryScale, secondaryScale).Pairs.Where(p => p.Origin?.PrimarySeconds == frames.Primary.Seconds));
    }

    /// <summary>Compares at instants spread over the overlap, or at every frame.</summary>
    /// <param name="everyFrame">Every frame of the primary, not a few instants a minute.</param>
    /// <param name="progress">Told what is being done.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <returns>Null when no instant shows corresponding colours.</returns>
    public async Task<OverTime?> RunAsync(bool everyFrame, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(progress);
        everyFrame &= sync is not null;
        CheckedSeries series = new(_primaryEncoding);
        if (everyFrame && !Follows)
        {
            // What was marked is known.
            return Summed(series, await EveryFrameAsync(series, progress, cancel), everyFrame: true);
        }

        // Before every frame, a few: where to look, and whether there is anything in common.
        FrameStage.Instant[] instants = await InstantsAsync(everyFrame ? FewestInstants : MostInstants, cancel);
        await LookAsync(series, TakenAsync(instants, cancel), instants.Length, everyFrame, progress, cancel);
        if (!everyFrame || series.Count == 0)
        {
            return Summed(series, instants.Length, everyFrame: false);
        }

        series = new CheckedSeries(_primaryEncoding);
        return Summed(series, await EveryFrameAsync(series, progress, cancel), everyFrame: true);
    }

    /// <summary>Compares at instants whose frames are at hand.</summary>
    /// <param name="looks">The instants, in order of time.</param>
    /// <param name="progress">Told what is being done.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <returns>Null when no instant shows corresponding colours.</returns>
    public async Task<OverTime?> RunAsync(IReadOnlyList<InstantCandidate> looks, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        CheckedSeries series = new(_primaryEncoding);
        await LookAsync(series, AtHandAsync(looks, cancel), looks.Count, everyFrameFollows: false, progress, cancel);
        return Summed(series, looks.Count, everyFrame: false);
    }

    private OverTime? Summed(CheckedSeries series, int looked, bool everyFrame)
    {
        List<string> warnings = [];
        if (series.Count == 0 && request.Method is null && request.Regions.IsEmpty)
        {
            // Nothing in common at any instant: the pictures as a whole, instant by instant.
            _method = SamplingMethod.Overall;
            warnings.Add(OverallSampler.LowConfidence);
            foreach (MatchedFrames f in _withoutCommon)
            {
                SampleSet set = OverallSampler.Sample([f.Primary.Picture], [f.Secondary.Picture]);
                if (set.Refusal is null)
                {
                    series.Add(Checked(f, ColoursOf(set)));
                }
            }
        }

        if (series.Count == 0)
        {
            return null;
        }

        if (series.Count < looked && _method != SamplingMethod.Overall)
        {
            warnings.Add(string.Create(CultureInfo.InvariantCulture,
                $"At {looked - series.Count} of {looked} {(everyFrame ? "frames" : "instants")} nothing was found that both cameras saw; those are not in the figures."));
        }

        return new OverTime(_method!.Value, series.Evaluate(tolerance), looked, everyFrame, [.. warnings]);
    }

    private async IAsyncEnumerable<ImmutableArray<MatchedFrames>> TakenAsync(FrameStage.Instant[] instants, [EnumeratorCancellation] CancellationToken cancel)
    {
        // The next ones are taken while these are looked at.
        FrameStage.Instant[][] chunks = [.. instants.Chunk(AtATime)];
        Task<ImmutableArray<MatchedFrames>> next = TakeAsync(chunks[0]);
        try
        {
            for (int i = 0; i < chunks.Length; i++)
            {
                ImmutableArray<MatchedFrames> frames = await next;
                next = i + 1 < chunks.Length ? TakeAsync(chunks[i + 1]) : Task.FromResult(frames);
                yield return frames;
            }
        }
        finally
        {
            // Who leaves early leaves no process behind.
            await next.ContinueWith(static _ => { }, CancellationToken.None, TaskContinuationOptions.None, TaskScheduler.Default);
        }

        Task<ImmutableArray<MatchedFrames>> TakeAsync(FrameStage.Instant[] some) =>
            FrameStage.GrabAsync(primary, secondary, some, request, cancel, LargestSide);
    }

    private async IAsyncEnumerable<ImmutableArray<MatchedFrames>> AtHandAsync(IReadOnlyList<InstantCandidate> looks, [EnumeratorCancellation] CancellationToken cancel)
    {
        foreach (InstantCandidate[] some in looks.Chunk(AtATime / 2))
        {
            MatchedFrames[] frames = new MatchedFrames[some.Length];
            await Parallel.ForEachAsync(Enumerable.Range(0, some.Length), cancel, (i, _) =>
            {
                frames[i] = some[i].Taken(request, LargestSide, "");
                return ValueTask.CompletedTask;
            });
            yield return [.. frames];
        }
    }

    private async Task LookAsync(
        CheckedSeries series, IAsyncEnumerable<ImmutableArray<MatchedFrames>> batches, int count, bool everyFrameFollows,
        IProgress<StageProgress> progress, CancellationToken cancel)
    {
        int searchEvery = _follower.IsEmpty ? Math.Max(1, count / FewestSearches) : int.MaxValue, looked = 0;
        progress.Report(new("Comparing the clips over time", 0));
        await foreach (ImmutableArray<MatchedFrames> frames in batches.WithCancellation(cancel))
        {
            FollowedColour[]?[] colours = new FollowedColour[]?[frames.Length];
            int first = looked;
            await SearchAsync(Enumerable.Range(0, frames.Length).Where(i => !Follows || (first + i) % searchEvery == searchEvery / 2));
            for (int i = 0; i < frames.Length; i++)
            {
                if (colours[i] is null && _follower.At(frames[i]) is { IsEmpty: false } followed)
                {
                    colours[i] = [.. followed];
                }
            }

            await SearchAsync(Enumerable.Range(0, frames.Length).Where(i => colours[i] is null));
            for (int i = 0; i < frames.Length; i++)
            {
                if (colours[i] is { Length: > 0 } found)
                {
                    series.Add(Checked(frames[i], found));
                }
                else if (_withoutCommon.Count < FewestInstants)
                {
                    _withoutCommon.Add(frames[i]);
                }
            }

            looked += frames.Length;
            progress.Report(new("Comparing the clips over time", (double)looked / count));
            PictureMemory.LetGo();

            async Task SearchAsync(IEnumerable<int> wanted)
            {
                int[] which = [.. wanted];
                SampleSet?[] sets = new SampleSet?[frames.Length];
                await Parallel.ForEachAsync(which, cancel, (i, stop) =>
                {
                    sets[i] = TrySample(frames[i], stop);
                    return ValueTask.CompletedTask;
                });
                foreach (int i in which)
                {
                    colours[i] = [.. ColoursOf(sets[i])];
                    _method ??= sets[i]?.Method;
                    if (sets[i] is { } found && Follows)
                    {
                        _follower.Remember(frames[i], found.Pairs);
                        if (everyFrameFollows)
                        {
                            _everyFrameFollower.Remember(frames[i], found.Pairs);
                        }
                    }
                }
            }
        }
    }

    private async Task<int> EveryFrameAsync(CheckedSeries series, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        (double from, double to) = FrameStage.Overlap(primary, secondary, sync!);
        int looked = 0;
        await foreach (FramesTogether together in FramesTogether.ReadAsync(primary, secondary, sync!, from, to, EveryFrameSide, cancel))
        {
            MatchedFrames frames = new(
                FrameStage.InEncoding(Frame(together.Primary), request.PrimaryEncoding), FrameStage.InEncoding(Frame(together.Secondary), request.SecondaryEncoding), "");
            FollowedColour[] colours = Follows ? [.. _everyFrameFollower.At(frames)] : [.. ColoursOf(SampledNow(frames))];
            if (colours.Length > 0)
            {
                series.Add(Checked(frames, colours));
            }

            if (looked++ % 100 == 0)
            {
                progress.Report(new("Comparing every frame", (frames.Primary.Seconds - from) / (to - from)));
            }
        }

        return looked;

        SampleSet? SampledNow(MatchedFrames frames)
        {
            SampleSet? set = TrySample(frames, cancel);
            _method ??= set?.Method;
            return set;
        }
    }

    private static IEnumerable<FollowedColour> ColoursOf(SampleSet? set) =>
        set?.Pairs.Select(p => new FollowedColour(p.Primary, p.Secondary, p.Weight)) ?? [];

    private static GrabbedFrame Frame(TimedPicture picture) => new(picture.Picture, picture.Seconds);

    private async Task<FrameStage.Instant[]> InstantsAsync(int most, CancellationToken cancel)
    {
        if (sync is null)
        {
            return [new(0, 0, "")];
        }

        (double from, double to) = FrameStage.Overlap(primary, secondary, sync);
        int count = (int)Math.Clamp((to - from) / SecondsBetween, FewestInstants, most);
        double[] times = await QuickInstants.ChooseAsync(primary, secondary, sync, from, to, count, cancel);
        return [.. times.Select(t => new FrameStage.Instant(t, FrameStage.NearestFrameAt(secondary, sync, t), ""))];
    }

    private SampleSet? TrySample(MatchedFrames frames, CancellationToken cancel)
    {
        SamplingMethod[] methods = request.Method is { } asked ? [asked]
            : request.Regions.Length > 0 ? [SamplingMethod.Regions]
            : [SamplingMethod.Overlap, SamplingMethod.Chart];

        // What was marked is in the clips' own pixels, these pictures are smaller.
        (double primaryScale, double secondaryScale) = frames.ScaleOf(primary, secondary);
        MatchRequest here = request.ForPicturesScaled(primaryScale, secondaryScale);
        foreach (SamplingMethod method in methods)
        {
            SampleSet set = SampleStage.By(method, [frames], here, cancel);
            if (set.Refusal is null && set.Pairs.Length > 0)
            {
                return set;
            }
        }

        return null;
    }

    private CheckedInstant Checked(MatchedFrames frames, IEnumerable<FollowedColour> colours) => new(
        frames.Primary.Seconds, frames.Secondary.Seconds,
        [.. colours.Select(c => new CheckedColour(c.Primary.Clamped(), _correct(c.Secondary).Clamped(), c.Weight))]);
}
