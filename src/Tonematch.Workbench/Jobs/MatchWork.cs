using System.Collections.Immutable;
using System.Diagnostics;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Exports;
using Tonematch.Fitting;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Words;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Workbench.Jobs;

/// <summary>
/// The match of one clip of camera B: the only class here that knows how a match is made. Samples are found once; later
/// changes by the user only repeat the fit.
/// </summary>
internal sealed class MatchWork : IDisposable
{
    private readonly SemaphoreSlim _one = new(1);
    private readonly Dictionary<string, SampleSet> _measured = [];
    private MatchJob.Sampled? _sampled;
    private string? _fittedEdits;
    private FitResult? _fit;

    /// <summary>The sampling key that the samples were found with; null before.</summary>
    public string? SampledWith { get; private set; }

    /// <summary>The clips and their alignment in time; null before samples were found.</summary>
    public MatchedClips? Clips => _sampled?.Clips;

    /// <summary>The latest fit; null before.</summary>
    public Fitted? Latest { get; private set; }

    /// <summary>The whole result for the decisions last requested; null before.</summary>
    public (string Key, MatchOutcome Outcome)? Finished { get; private set; }

    /// <summary>A fit with the data that the page shows.</summary>
    /// <param name="Task">The task it belongs to.</param>
    /// <param name="Found">All samples found, including those taken out.</param>
    /// <param name="Marked">The regions marked by hand, measured.</param>
    /// <param name="Used">The samples used in the fit.</param>
    /// <param name="Result">The fit and the correction.</param>
    /// <param name="Milliseconds">How long it took.</param>
    public sealed record Fitted(
        MatchTask Task, SampleSet Found, ImmutableArray<SampleSet> Marked, SampleSet Used, FitStage.Result Result, double Milliseconds)
    {
        /// <summary>The verdict on the fit alone, before the check over time.</summary>
        public Verdict Verdict { get; } = Verdict.Of(VerdictEvidence.Of(new MatchOutcome(Used, Result.Fit, Result.Chosen) { AskedForWhole = Task.Request.Method == SamplingMethod.Overall }));

        /// <summary>The table that is shown and handed over.</summary>
        public Lut3D Lut => Result.Chosen.Lut;

        /// <summary>A colour of camera B through the table, clamped to 0..1.</summary>
        public CodeRgb Corrected(CodeRgb code) => LutInterpolation.Tetrahedral(Lut, code).Clamped();

        /// <summary>CIEDE2000 of a pair after the correction.</summary>
        public double After(SamplePair pair) =>
            DeltaE2000.Between(Used.PrimaryEncoding.ToLab(pair.Primary.Clamped()), Used.PrimaryEncoding.ToLab(Corrected(pair.Secondary)));

        /// <summary>CIEDE2000 of a pair as recorded.</summary>
        public double Before(SamplePair pair) =>
            DeltaE2000.Between(Used.PrimaryEncoding.ToLab(pair.Primary.Clamped()), Used.SecondaryEncoding.ToLab(pair.Secondary.Clamped()));
    }

    /// <summary>Finds samples, fits, and checks the match over time.</summary>
    public async Task MatchAsync(MatchTask task, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        await _one.WaitAsync(cancel);
        try
        {
            MatchJob.Sampled sampled = await MatchJob.SampleAsync(task.Request, progress, cancel);
            (_sampled, SampledWith, _fit, _fittedEdits, Finished, Latest) = (sampled, task.SamplingKey, null, null, null, null);
            _measured.Clear();
            progress.Report(new("Fitting the corrections", 0));
            await FitAsync(task, cancel);
        }
        finally
        {
            _one.Release();
        }
    }

    /// <summary>Repeats the fit after a person's changes.</summary>
    public async Task<Fitted?> RefitAsync(MatchTask task, CancellationToken cancel)
    {
        await _one.WaitAsync(cancel);
        try
        {
            return _sampled is null ? null : await FitAsync(task, cancel);
        }
        finally
        {
            _one.Release();
        }
    }

    /// <summary>The whole result, as the command line would write it; cached.</summary>
    public async Task<MatchOutcome> FinishAsync(MatchTask task, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        await _one.WaitAsync(cancel);
        try
        {
            if (_sampled is null)
            {
                throw new UnusableInputException("There is no match yet. Start it first.");
            }

            if (Finished is not { } there || there.Key != task.Key)
            {
                Finished = (task.Key, await MatchJob.FinishAsync(_sampled, task.Request, progress, cancel));
            }

            return Finished.Value.Outcome;
        }
        finally
        {
            _one.Release();
        }
    }

    /// <summary>Writes the files of a match, as the command line does.</summary>
    public static async Task<IReadOnlyList<string>> WriteAsync(MatchOutcome outcome, string folder, bool replace, bool evenSo, string command, CancellationToken cancel)
    {
        string[] inputs = outcome.Clips is { } clips ? [clips.Primary.Path, clips.Secondary.Path] : [];
        using ResultFolder results = ResultFolder.Prepare(folder, MatchFiles.Names, replace, inputs);
        await MatchFiles.WriteAsync(outcome, evenSo, results, command, cancel);
        return [.. MatchFiles.Names.Where(n => File.Exists(Path.Combine(folder, n)))];
    }

    /// <summary>A short description of a match's file.</summary>
    public static string Describe(string name) => MatchFiles.Describe(name);

    /// <summary>A verdict's name for the page.</summary>
    public static string Name(VerdictKind kind) => VerdictWords.Name(kind);

    /// <summary>A verdict in a sentence.</summary>
    public static string Headline(Verdict verdict) => VerdictWords.Headline(verdict);

    /// <summary>What the verdict's figure was measured on, in words.</summary>
    public static string On(VerdictFigure figure) => VerdictWords.On(figure);

    /// <summary>The verdict's reasons, in sentences.</summary>
    public static ImmutableArray<string> Reasons(Verdict verdict) => VerdictWords.Reasons(verdict);

    /// <summary>The time offset, in words.</summary>
    public static string InTime(SyncFound sync, double framesPerSecond) => MatchWords.InTime(sync, framesPerSecond);

    /// <summary>Where the samples come from, in words.</summary>
    public static string Source(SampleSet samples) => MatchWords.Source(samples);

    /// <summary>The part of camera A's time that both clips show; 0 to 0 if there is none.</summary>
    public static (double From, double To) Overlap(MatchedClips clips)
    {
        try
        {
            return clips.Overlap();
        }
        catch (NoTrustworthyResultException)
        {
            return (0, 0);
        }
    }

    /// <summary>CIEDE2000 of two pictures of equal size as a picture, with the end of its scale and the mean.</summary>
    public static (Picture Map, double Top, double Mean) DifferenceMap(Picture first, Picture second, int side) => Reporting.DifferenceMap.Of(first, second, side);

    /// <inheritdoc/>
    public void Dispose() => _one.Dispose();

    private async Task<Fitted> FitAsync(MatchTask task, CancellationToken cancel)
    {
        long began = Stopwatch.GetTimestamp();
        (MatchJob.Sampled sampled, MatchRequest request) = (_sampled!, task.Request);
        List<SampleSet> marked = [];
        foreach (RegionPair region in request.Edits.Marked)
        {
            string key = KeyOf(region);
            if (!_measured.TryGetValue(key, out SampleSet? measured))
            {
                _measured[key] = measured = await EditStage.MeasureAsync(sampled.Clips, region, cancel);
            }

            marked.Add(measured);
        }

        SampleSet used = EditStage.Apply(sampled.Samples, marked, request.Edits);
        if (_fit is null || _fittedEdits != task.EditsKey)
        {
            (_fit, _fittedEdits) = (await Task.Run(() => CorrectionFitting.Fit(used, FitOptions.Default, cancel), cancel), task.EditsKey);
        }

        FitStage.Result result = await Task.Run(() => FitStage.Choose(_fit, used, request.Model, request.LutSize, request.Trim, cancel), cancel);
        return Latest = new Fitted(task, sampled.Samples, [.. marked], used, result, Stopwatch.GetElapsedTime(began).TotalMilliseconds);
    }

    private static string KeyOf(RegionPair region) => string.Create(
        CultureInfo.InvariantCulture, $"{region.Name}@{region.AtSeconds}:{string.Join(';', region.Primary.Corners)}:{string.Join(';', region.Secondary.Corners)}");
}
