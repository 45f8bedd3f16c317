using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Media.Clips;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Matching;

/// <summary>Checks a match over the whole overlap of two clips: the same sampler at many instants.</summary>
public static class CheckPipeline
{
    // A few instants a minute find every step that lasts; more only cost time.
    private const double SecondsBetween = 10;
    private const int FewestInstants = 12;
    private const int MostInstants = 120;
    private const int AtATime = 6;
    private const int LargestSide = 960;

    /// <summary>Compares the clips, the secondary through the correction when one is given.</summary>
    /// <param name="request">The clips and where to find corresponding colours.</param>
    /// <param name="correction">Applied to the secondary first, or null: the clips as they are.</param>
    /// <param name="tolerance">The mean CIEDE2000 that passes.</param>
    /// <param name="progress">Told what is being done.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="NoTrustworthyResultException">No instant shows corresponding colours.</exception>
    public static async Task<CheckOutcome> RunAsync(
        MatchRequest request, CorrectionFile? correction, double tolerance, IProgress<StageProgress> progress, CancellationToken cancel)
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

        OverTime over = await CompareAsync(
            primary, secondary, sync?.Found, request, correction?.Apply, FewestInstants, MostInstants, tolerance, progress, cancel)
            ?? throw new NoTrustworthyResultException("At none of the instants looked at could the two be compared: nothing was found that both cameras saw.");
        return new CheckOutcome(primary, secondary, sync?.Found, over.Method, over.Result, over.LookedAt, [.. over.Warnings, .. sync?.Found.Warnings ?? []]);
    }

    /// <summary>The figures over time.</summary>
    /// <param name="Method">Where corresponding colours came from.</param>
    /// <param name="Result">The figures.</param>
    /// <param name="LookedAt">How many instants were looked at.</param>
    /// <param name="Warnings">What the user should know, in sentences.</param>
    public sealed record OverTime(SamplingMethod Method, CheckResult Result, int LookedAt, ImmutableArray<string> Warnings);

    /// <summary>Compares two clips whose place in time is known, at instants spread over their overlap.</summary>
    /// <param name="primary">The primary clip.</param>
    /// <param name="secondary">The secondary clip.</param>
    /// <param name="sync">How they lie in time; null for still pictures.</param>
    /// <param name="request">Where to find corresponding colours.</param>
    /// <param name="correct">Secondary code values to corrected ones, or null: as they are.</param>
    /// <param name="fewest">At least so many instants.</param>
    /// <param name="most">At most so many.</param>
    /// <param name="tolerance">The mean CIEDE2000 that passes.</param>
    /// <param name="progress">Told what is being done.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <returns>Null when no instant shows corresponding colours.</returns>
    public static async Task<OverTime?> CompareAsync(
        ClipInfo primary, ClipInfo secondary, SyncFound? sync, MatchRequest request, Func<CodeRgb, CodeRgb>? correct,
        int fewest, int most, double tolerance, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(progress);
        FrameStage.Instant[] instants = sync is null
            ? [new(0, 0, "")]
            : [.. Instants(FrameStage.Overlap(primary, secondary, sync), fewest, most).Select(t => new FrameStage.Instant(t, FrameStage.NearestFrameAt(secondary, sync, t), ""))];
        List<MatchedFrames> withoutCommon = [];
        List<CheckedInstant> checkedInstants = [];
        SamplingMethod? method = null;
        int looked = 0;
        foreach (FrameStage.Instant[] some in instants.Chunk(AtATime))
        {
            progress.Report(new("Comparing the clips over time", (double)looked / instants.Length));
            ImmutableArray<MatchedFrames> frames = await FrameStage.GrabAsync(primary, secondary, some, request, cancel, LargestSide);
            SampleSet?[] sets = new SampleSet?[frames.Length];
            await Parallel.ForEachAsync(Enumerable.Range(0, frames.Length), cancel, (i, stop) =>
            {
                sets[i] = TrySample(frames[i], request, stop);
                return ValueTask.CompletedTask;
            });
            for (int i = 0; i < frames.Length; i++)
            {
                if (sets[i] is { } set)
                {
                    method ??= set.Method;
                    checkedInstants.Add(Checked(frames[i], set, correct));
                }
                else if (withoutCommon.Count < fewest)
                {
                    withoutCommon.Add(frames[i]);
                }
            }

            looked += some.Length;
        }

        List<string> warnings = [];
        if (checkedInstants.Count == 0 && request.Method is null && request.Regions.IsEmpty)
        {
            // Nothing in common at any instant: the pictures as a whole, instant by instant.
            method = SamplingMethod.Overall;
            warnings.Insert(0, OverallSampler.LowConfidence);
            foreach (MatchedFrames f in withoutCommon)
            {
                SampleSet set = OverallSampler.Sample([f.Primary.Picture], [f.Secondary.Picture]);
                if (set.Refusal is null)
                {
                    checkedInstants.Add(Checked(f, set, correct));
                }
            }
        }
        else if (checkedInstants.Count > 0 && checkedInstants.Count < looked)
        {
            warnings.Add(string.Create(CultureInfo.InvariantCulture,
                $"At {looked - checkedInstants.Count} of {looked} instants nothing was found that both cameras saw; those are not in the figures."));
        }

        SignalEncoding encoding = request.PrimaryEncoding ?? primary.Encoding;
        return checkedInstants.Count == 0
            ? null
            : new OverTime(method!.Value, MatchCheck.Evaluate(checkedInstants, encoding, tolerance), looked, [.. warnings]);
    }

    private static IEnumerable<double> Instants((double From, double To) overlap, int fewest, int most)
    {
        double length = overlap.To - overlap.From;
        int count = (int)Math.Clamp(length / SecondsBetween, fewest, most);
        return Enumerable.Range(0, count).Select(i => overlap.From + (length * (i + 0.5) / count));
    }

    private static SampleSet? TrySample(MatchedFrames frames, MatchRequest request, CancellationToken cancel)
    {
        SamplingMethod[] methods = request.Method is { } asked ? [asked]
            : request.Regions.Length > 0 ? [SamplingMethod.Regions]
            : [SamplingMethod.Overlap, SamplingMethod.Chart];
        foreach (SamplingMethod method in methods)
        {
            SampleSet set = SampleStage.By(method, [frames], request, cancel);
            if (set.Refusal is null && set.Pairs.Length > 0)
            {
                return set;
            }
        }

        return null;
    }

    private static CheckedInstant Checked(MatchedFrames frames, SampleSet set, Func<CodeRgb, CodeRgb>? given)
    {
        Func<CodeRgb, CodeRgb> correct = given ?? new IdentityCorrection(set.SecondaryEncoding, set.PrimaryEncoding).Apply;
        return new CheckedInstant(frames.Primary.Seconds, frames.Secondary.Seconds,
            [.. set.Pairs.Select(p => new CheckedColour(p.Primary.Clamped(), correct(p.Secondary).Clamped(), p.Weight))]);
    }
}
