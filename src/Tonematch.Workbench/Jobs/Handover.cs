using System.Globalization;
using Tonematch.Exports;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Media.Files;
using Tonematch.Media.Rendering;
using Tonematch.Workbench.Api;
using Tonematch.Workbench.Session;
using Tonematch.Workbench.Sound;

namespace Tonematch.Workbench.Jobs;

/// <summary>
/// Writes the files that are handed over: those of the command line, by its code, and any extra files requested.
/// </summary>
/// <param name="desk">The decisions and matches.</param>
/// <param name="outFolder">The folder of results.</param>
/// <param name="foldersOf">Each clip's folder inside it, by the command line's rule.</param>
internal sealed class Handover(WorkDesk desk, string outFolder, Func<string, IReadOnlyList<string>, string[]> foldersOf)
{
    private static readonly string[] s_extras = ["correction-hald.png", "corrected.mp4", "cut-test.mp4", "begins.csv"];

    /// <summary>Writes everything; returns a sentence.</summary>
    public async Task<string> RunAsync(HandoverOrder order, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        WorkbenchSession session = desk.Session;
        string[] folders = foldersOf(outFolder, [.. session.Secondaries.Select(s => s.Clip)]);
        string command = $"tonematch match --session {WorkbenchSession.FileName}";
        if (!order.Replace && Wanted(order, folders).FirstOrDefault(File.Exists) is { } there)
        {
            throw new UnusableInputException($"{Path.GetRelativePath(outFolder, there)} is there already. Tick 'Replace files of an earlier hand-over', or move it away first.");
        }

        int withheld = 0;
        List<string> begins = ["clip,begins_at_seconds,begins_at,rate"];
        for (int i = 0; i < session.Secondaries.Length; i++)
        {
            MatchTask task = MatchTask.Of(session, session.Secondaries[i]);
            MatchWork work = desk.WorkOf(task.Request.Secondary.Path);
            if (work.SampledWith != task.SamplingKey)
            {
                await work.MatchAsync(task, progress, cancel);
            }

            MatchOutcome outcome = await work.FinishAsync(task, progress, cancel);
            progress.Report(new("Writing and reading back", 0));
            await MatchWork.WriteAsync(outcome, folders[i], order.Replace, order.EvenSo, command, cancel);
            if (MatchFiles.HandsOver(outcome, order.EvenSo))
            {
                await ExtrasAsync(order, outcome, folders[i], progress, cancel);
            }
            else
            {
                withheld++;
            }

            if (outcome.Clips is { Sync: { } sync } clips)
            {
                double at = sync.PrimaryTime(0), rate = clips.Primary.FrameRate.Value;
                begins.Add(string.Create(CultureInfo.InvariantCulture, $"{Quoted(Path.GetFileName(clips.Secondary.Path))},{at:0.######},{ClockText.Of(at, rate)},{rate:0.###}"));
            }
        }

        if (order.Begins && begins.Count > 1)
        {
            AtomicFile.WriteText(Path.Combine(outFolder, "begins.csv"), order.Replace, w => w.Write(string.Join('\n', begins) + "\n"));
        }

        return withheld == 0 ? "Everything is written and was read back."
            : "The reports are written. Corrections that should not be used were not written: tick 'even so' to write them anyway.";
    }

    /// <summary>The existing files, relative to the folder of results.</summary>
    public IReadOnlyList<string> Files()
    {
        WorkbenchSession session = desk.Session;
        IEnumerable<string> folders = session.Secondaries.IsEmpty ? [] : foldersOf(outFolder, [.. session.Secondaries.Select(s => s.Clip)]);
        return [.. folders.Append(outFolder).Select(Path.GetFullPath).Distinct()
            .SelectMany(f => MatchFiles.Names.Concat(s_extras).Select(n => Path.Combine(f, n)))
            .Where(File.Exists).Select(f => Path.GetRelativePath(outFolder, f).Replace(Path.DirectorySeparatorChar, '/')).Distinct()];
    }

    // The files to be written, so that a conflict is reported before the work.
    private IEnumerable<string> Wanted(HandoverOrder order, string[] folders)
    {
        bool[] isWanted = [order.Hald, order.Clip, order.CutTest];
        string[] extras = [.. s_extras.Zip(isWanted).Where(e => e.Second).Select(e => e.First)];
        return
        [
            .. folders.SelectMany(f => MatchFiles.Names.Concat(extras).Select(n => Path.Combine(f, n))),
            .. order.Begins ? [Path.Combine(outFolder, s_extras[3])] : (string[])[],
        ];
    }

    private static async Task ExtrasAsync(HandoverOrder order, MatchOutcome outcome, string folder, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        Lut3D lut = outcome.Chosen.Lut;
        if (order.Hald)
        {
            // Level 8, as in 'lut convert'.
            PngFile.Write(Path.Combine(folder, "correction-hald.png"), HaldPicture.FromLut(lut, outcome.Samples.PrimaryEncoding), 16, order.Replace);
        }

        if (outcome.Clips is not { } clips)
        {
            return;
        }

        if (order.Clip)
        {
            string path = Path.Combine(folder, "corrected.mp4");
            await ClipRenderer.RenderAsync(clips.Secondary, lut, path, new RenderOptions { OutputEncoding = outcome.Samples.PrimaryEncoding, Drift = outcome.Drift?.Track, Force = order.Replace }, new Forwarded(progress, "Writing the corrected clip"), cancel);
        }

        if (order.CutTest && clips.Sync is { } sync)
        {
            await CutTest.RenderAsync(
                clips.Primary, clips.Secondary, lut, sync, Path.Combine(folder, "cut-test.mp4"), new CutTestOptions { Drift = outcome.Drift?.Track, Force = order.Replace, MaxSide = 1280 },
                new Forwarded(progress, "Writing the cut test"), cancel);
        }
    }

    private static string Quoted(string text) => text.AsSpan().IndexOfAny(",\"\n") >= 0 ? $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"" : text;

    /// <summary>Passes on rendering progress as stage progress.</summary>
    internal sealed class Forwarded(IProgress<StageProgress> progress, string stage) : IProgress<RenderProgress>
    {
        public void Report(RenderProgress value) => progress.Report(new(stage, value.Fraction));
    }
}
