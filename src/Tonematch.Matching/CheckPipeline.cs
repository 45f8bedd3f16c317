using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Matching;

/// <summary>Checks a match over the whole overlap of two clips: the same sampler at many instants.</summary>
public static class CheckPipeline
{
    // A few instants a minute find every step that lasts; more only cost time, and --every-frame leaves none out.
    private const double SecondsBetween = 15;
    private const int FewestInstants = 12;
    private const int MostInstants = 120;
    private const int AtATime = 6;
    private const int LargestSide = 960;

    // Things are searched for anew at so many instants at least: what moves is seen only there.
    private const int FewestSearches = 6;

    // Every frame is looked at in this size: decoding is what costs then, and patches still hold tens of pixels.
    private const int EveryFrameSide = 480;

    /// <summary>Compares the clips, the secondary through the correction when one is given.</summary>
    /// <param name="request">The clips and where to find corresponding colours.</param>
    /// <param name="correction">Applied to the secondary first, or null: the clips as they are.</param>
    /// <param name="tolerance">The mean CIEDE2000 that passes.</param>
    /// <param name="everyFrame">Looks at every frame of the primary, not only at a few instants a minute.</param>
    /// <param name="progress">Told what is being done.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="NoTrustworthyResultException">No instant shows corresponding colours.</exception>
    public static async Task<CheckOutcome> RunAsync(
        MatchRequest request, CorrectionFile? correction, double tolerance, bool everyFrame, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(progress);
        progress.Report(new("Looking at the clips", 0));
        (ClipInfo primary, ClipInfo secondary) = await MatchPipeline.ProbeAsync(request, cancel);
        SyncStage.Result? sync = null;
        if (!primary.IsStillImage && !secondary.IsStillImage)
        {
            progress.Report(new("Listening to both recordings", 0));
            sync = await SyncStage.RunAsync(primary, secondary, request, cancel);
        }

        Comparison comparison = new(primary, secondary, sync?.Found, request, correction?.Apply, tolerance);
        OverTime over = await comparison.RunAsync(FewestInstants, MostInstants, everyFrame, progress, cancel)
            ?? throw new NoTrustworthyResultException("At none of the instants looked at could the two be compared: nothing was found that both cameras saw.");
        return new CheckOutcome(primary, secondary, sync?.Found, over.Method, over.Result, over.LookedAt, [.. over.Warnings, .. sync?.Found.Warnings ?? []])
        {
            EveryFrame = everyFrame && sync is not null && over.Method != SamplingMethod.Overall,
        };
    }

    /// <summary>The figures over time.</summary>
    /// <param name="Method">Where corresponding colours came from.</param>
    /// <param name="Result">The figures.</param>
    /// <param name="LookedAt">How many instants were looked at.</param>
    /// <param name="Warnings">What the user should know, in sentences.</param>
    public sealed record OverTime(SamplingMethod Method, CheckResult Result, int LookedAt, ImmutableArray<string> Warnings);

    /// <summary>Compares two clips whose place in time is known.</summary>
    /// <param name="primary">The primary clip.</param>
    /// <param name="secondary">The secondary clip.</param>
    /// <param name="sync">How they lie in time; null for still pictures.</param>
    /// <param name="request">Where to find corresponding colours.</param>
    /// <param name="correct">Secondary code values to corrected ones, or null: as they are.</param>
    /// <param name="tolerance">The mean CIEDE2000 that passes.</param>
    public sealed class Comparison(
        ClipInfo primary, ClipInfo secondary, SyncFound? sync, MatchRequest request, Func<CodeRgb, CodeRgb>? correct, double tolerance)
    {
        private readonly SignalEncoding _primaryEncoding = request.PrimaryEncoding ?? primary.Encoding;
        private readonly Func<CodeRgb, CodeRgb> _correct = correct
            ?? new IdentityCorrection(request.SecondaryEncoding ?? secondary.Encoding, request.PrimaryEncoding ?? primary.Encoding).Apply;

        private readonly PlaceFollower _follower = new(LargestSide), _everyFrameFollower = new(EveryFrameSide);
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
        /// <param name="fewest">At least so many instants.</param>
        /// <param name="most">At most so many.</param>
        /// <param name="everyFrame">Every frame of the primary afterwards.</param>
        /// <param name="progress">Told what is being done.</param>
        /// <param name="cancel">Stops the work.</param>
        /// <returns>Null when no instant shows corresponding colours.</returns>
        public async Task<OverTime?> RunAsync(int fewest, int most, bool everyFrame, IProgress<StageProgress> progress, CancellationToken cancel)
        {
            ArgumentNullException.ThrowIfNull(progress);
            everyFrame &= sync is not null;
            CheckedSeries series = new(_primaryEncoding);

            // Before every frame, a few: where to look, and whether there is anything in common. What was marked is known.
            int looked = everyFrame && !Follows ? 0 : await LookAsync(series, fewest, everyFrame ? fewest : most, everyFrame, progress, cancel);
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
            else if (everyFrame && (series.Count > 0 || !Follows))
            {
                series = new CheckedSeries(_primaryEncoding);
                looked = await EveryFrameAsync(series, progress, cancel);
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

            return new OverTime(_method!.Value, series.Evaluate(tolerance), looked, [.. warnings]);
        }

        private async Task<int> LookAsync(
            CheckedSeries series, int fewest, int most, bool everyFrameFollows, IProgress<StageProgress> progress, CancellationToken cancel)
        {
            FrameStage.Instant[] instants = await InstantsAsync(fewest, most, cancel);
            int searchEvery = _follower.IsEmpty ? Math.Max(1, instants.Length / FewestSearches) : int.MaxValue, looked = 0;
            foreach (FrameStage.Instant[] some in instants.Chunk(AtATime))
            {
                progress.Report(new("Comparing the clips over time", (double)looked / instants.Length));
                ImmutableArray<MatchedFrames> frames = await FrameStage.GrabAsync(primary, secondary, some, request, cancel, LargestSide);
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
                    else if (_withoutCommon.Count < fewest)
                    {
                        _withoutCommon.Add(frames[i]);
                    }
                }

                looked += some.Length;
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

            return looked;
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

        private static GrabbedFrame Frame(TimedPicture picture) => new(picture.Picture, picture.Seconds, picture.Seconds);

        private async Task<FrameStage.Instant[]> InstantsAsync(int fewest, int most, CancellationToken cancel)
        {
            if (sync is null)
            {
                return [new(0, 0, "")];
            }

            (double from, double to) = FrameStage.Overlap(primary, secondary, sync);
            int count = (int)Math.Clamp((to - from) / SecondsBetween, fewest, most);
            double[] times = await QuickInstants.ChooseAsync(primary, secondary, sync, from, to, count, withFrameBefore: false, cancel);
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
}
