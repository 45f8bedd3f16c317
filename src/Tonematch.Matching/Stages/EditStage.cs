using System.Globalization;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Samples;

namespace Tonematch.Matching.Stages;

/// <summary>Applies a person's changes to the samples found.</summary>
public static class EditStage
{
    // Marked regions are measured in pictures of at most this size, as all samples are.
    private const int MeasuredSide = 1920;

    /// <summary>Measures the marked regions and applies all changes.</summary>
    /// <param name="clips">The clips.</param>
    /// <param name="found">The samples before the changes.</param>
    /// <param name="request">The changes.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="UnusableInputException">An instant lies outside a clip.</exception>
    public static async Task<SampleSet> RunAsync(MatchedClips clips, SampleSet found, MatchRequest request, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(clips);
        ArgumentNullException.ThrowIfNull(found);
        ArgumentNullException.ThrowIfNull(request);
        List<SampleSet> marked = [];
        foreach (RegionPair region in request.Edits.Marked)
        {
            marked.Add(await MeasureAsync(clips, region, cancel));
        }

        return Apply(found, marked, request.Edits);
    }

    /// <summary>Measures one marked region at its instant; or at the first instant compared if it names none.</summary>
    /// <param name="clips">The clips.</param>
    /// <param name="region">The marked region.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <returns>One pair, or none with the reason recorded.</returns>
    public static async Task<SampleSet> MeasureAsync(MatchedClips clips, RegionPair region, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(clips);
        ArgumentNullException.ThrowIfNull(region);
        double at = region.AtSeconds ?? clips.Frames[0].Primary.Seconds;
        FrameStage.Instant instant = new(at, clips.NearestFrameAt(at), "marked by hand");
        MatchedFrames frames = (await FrameStage.GrabAsync(clips, [instant], cancel, MeasuredSide))[0];
        RegionPair inShares = region with
        {
            Primary = region.Primary.InShares(clips.Primary.Width, clips.Primary.Height),
            Secondary = region.Secondary.InShares(clips.Secondary.Width, clips.Secondary.Height),
            AtSeconds = null,
        };
        return RegionSampler.Sample(frames.Primary.Picture, frames.Secondary.Picture, [inShares], frames.Primary.Seconds, frames.Secondary.Seconds);
    }

    /// <summary>The samples with the changes applied.</summary>
    /// <param name="found">The samples as they were found.</param>
    /// <param name="marked">The marked regions, measured.</param>
    /// <param name="edits">The changes.</param>
    public static SampleSet Apply(SampleSet found, IReadOnlyList<SampleSet> marked, SampleEdits edits)
    {
        ArgumentNullException.ThrowIfNull(found);
        ArgumentNullException.ThrowIfNull(marked);
        ArgumentNullException.ThrowIfNull(edits);
        if (edits.IsNone)
        {
            return found;
        }

        double Factor(SamplePair pair) => edits.Weights.GetValueOrDefault(pair.Group, 1);
        SamplePair[] kept = [.. found.Pairs.Where(p => !edits.LeftOut.Contains(p.Id))];
        double part = kept.Length == 0 ? 1 : kept.Sum(p => p.Weight) / SampleEdits.PartsOfAll;
        HashSet<string> taken = [.. kept.Select(p => p.Id)];
        SamplePair[] added = [.. marked.SelectMany(m => m.Pairs).Where(p => !edits.LeftOut.Contains(p.Id) && taken.Add(p.Id)).Select(p => p with { Weight = part })];
        int left = found.Pairs.Length - kept.Length;
        return found with
        {
            Pairs = [.. kept.Concat(added).Select(p => p with { Weight = p.Weight * Factor(p) })],
            Rejected = left > 0 ? found.Rejected.SetItem("taken out by hand", left) : found.Rejected,
            Warnings =
            [
                .. left > 0 ? [string.Create(CultureInfo.InvariantCulture, $"{left} of {found.Pairs.Length} corresponding colours were taken out by hand.")] : (string[])[],
                .. added.Length > 0 ? [string.Create(CultureInfo.InvariantCulture, $"{added.Length} marked by hand {(added.Length == 1 ? "was" : "were")} added: {string.Join(", ", added.Select(p => p.Label))}.")] : (string[])[],
                .. marked.SelectMany(m => m.Warnings),
                .. found.Warnings,
            ],
        };
    }
}
