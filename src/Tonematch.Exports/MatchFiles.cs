using System.Globalization;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Formats;
using Tonematch.Formats.Cdl;
using Tonematch.Formats.Clf;
using Tonematch.Formats.Cube;
using Tonematch.Formats.Pairs;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Reporting;

namespace Tonematch.Exports;

/// <summary>Writes a match's files; each correction is read back and compared before it counts as written.</summary>
public static class MatchFiles
{
    private static readonly (string Name, string Description)[] s_files =
    [
        ("report.html", "the evidence, one page: open it first"),
        ("correction.cube", "the correction as a 3D LUT: load it on every clip of the secondary"),
        ("correction.clf", "the same as Common LUT Format"),
        ("correction.cdl", "the nearest ASC CDL, for where no LUT can be loaded"),
        ("correction.txt", "its numbers and formulas, and the filter for FFmpeg"),
        ("match.json", "every figure, for other programs"),
        ("pairs.csv", "the corresponding colours"),
    ];

    /// <summary>The files' names, in the order in which people need them.</summary>
    public static IReadOnlyList<string> Names { get; } = [.. s_files.Select(f => f.Name)];

    /// <summary>What a file is, in a few words.</summary>
    public static string Describe(string name) => s_files.First(f => f.Name == name).Description;

    /// <summary>
    /// The nearest CDL that was fitted, or null: none could be fitted, or the encodings differ, which a CDL alone
    /// cannot bridge.
    /// </summary>
    public static FittedCandidate? CdlOf(MatchOutcome outcome)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        return outcome.Samples.PrimaryEncoding == outcome.Samples.SecondaryEncoding
            ? outcome.Fit.Candidates.FirstOrDefault(c => c.Correction.Kind == CorrectionKind.Cdl)
            : null;
    }

    /// <summary>By how much the mean CIEDE2000 of the samples is larger with the CDL than with the LUT; below 0: smaller.</summary>
    public static double? CdlCost(MatchOutcome outcome) => CdlOf(outcome)?.Train.Mean - outcome.Chosen.After.Mean;

    /// <summary>Writes everything an outcome has.</summary>
    /// <param name="outcome">What was found.</param>
    /// <param name="folder">Where to.</param>
    /// <param name="command">The command as it was given, for the report.</param>
    /// <param name="cancel">Stops between files.</param>
    /// <exception cref="UnusableInputException">A file cannot be written.</exception>
    public static async Task WriteAsync(MatchOutcome outcome, ResultFolder folder, string command, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        ArgumentNullException.ThrowIfNull(folder);
        ReportContext context = await ReportEvidence.GatherAsync(outcome, command, cancel);
        Task corrections = Task.Run(
            () =>
            {
                WriteCorrections(outcome, folder);
                cancel.ThrowIfCancellationRequested();
                WriteText(folder, "correction.txt", w => WriteNumbers(w, outcome, folder));
                WriteText(folder, "pairs.csv", w => PairsCsv.Write(w, outcome.Samples));
            },
            cancel);
        await Task.WhenAll(corrections, Task.Run(() => WriteText(folder, "report.html", w => w.Write(MatchReport.Render(outcome, context))), cancel));

        // The last one: who waits for it finds the others.
        WriteText(folder, "match.json", w => w.Write(MatchJson.Write(outcome)));
    }

    private static void WriteCorrections(MatchOutcome outcome, ResultFolder folder)
    {
        Correction correction = outcome.Chosen.Candidate.Correction;
        string title = $"{ProgramVersion.Text} {correction.Kind.Name()}";
        Lut3D lut = outcome.Chosen.Lut;
        CodeRgb Exact(CodeRgb code) => LutInterpolation.Tetrahedral(lut, code);

        WriteCorrection(folder, "correction.cube", w => CubeFormat.Write(w, lut, title),
            text => { CubeFile cube = CubeFormat.Read(text, "correction.cube"); return code => cube.Apply(code); }, Exact);
        ClfExport export = ClfExport.Of(correction, lut.Size);
        ClfFile clf = export.File with
        {
            Id = $"tonematch-{correction.Kind.Name()}",
            Name = title,
            InputDescriptor = $"{outcome.Samples.SecondaryEncoding.Name} code values of the secondary camera",
            OutputDescriptor = $"{outcome.Samples.PrimaryEncoding.Name} code values like the primary camera's",
        };
        WriteCorrection(folder, "correction.clf", w => ClfFormat.Write(w, clf), text => ClfFormat.Read(text, "correction.clf").Apply, clf.Apply);
        if (CdlOf(outcome) is { } candidate)
        {
            CdlNumbers numbers = CdlNumbers.Of((CdlCorrection)candidate.Correction, "tonematch", string.Create(CultureInfo.InvariantCulture,
                $"{ProgramVersion.Text}. On code values ({outcome.Samples.PrimaryEncoding.Name}). Mean Delta E {candidate.Train.Mean:F2}; the LUT of the same match has {outcome.Chosen.After.Mean:F2}."));
            WriteCorrection(folder, "correction.cdl", w => CdlFormat.Write(w, CdlFileKind.DecisionList, numbers),
                text => { CdlNumbers back = CdlFormat.Read(text, "correction.cdl")[0]; return code => back.Apply(code); }, candidate.Correction.Apply);
        }
    }

    private static void WriteNumbers(TextWriter writer, MatchOutcome outcome, ResultFolder folder)
    {
        NumbersText.Write(writer, outcome.Chosen.Candidate.Correction);
        if (outcome.Clips?.Secondary is { } clip && clip.Matrix.Code is 1 or 5 or 6 or 9)
        {
            writer.Write($"\nAs an FFmpeg filter for the secondary (ffmpeg -i IN -/filter:v FILE ... with this line in FILE; before FFmpeg 7 the option is -filter_script:v):\n{FilterText.ForFfmpeg(
                folder.PathOf("correction.cube"), clip.Matrix.Code, clip.Range == SignalRange.Full, clip.PixelFormat)}\n");
        }
    }

    private static void WriteCorrection(
        ResultFolder folder, string name, Action<TextWriter> write, Func<TextReader, Func<CodeRgb, CodeRgb>> read, Func<CodeRgb, CodeRgb> exact) =>
        ReadBack.WriteText(folder.PathOf(name), folder.Force, write, read, exact);

    private static void WriteText(ResultFolder folder, string name, Action<TextWriter> write) =>
        AtomicFile.WriteText(folder.PathOf(name), folder.Force, write);
}
