using System.Globalization;
using System.Text;
using Tonematch.Corrections;
using Tonematch.Formats;
using Tonematch.Luts;
using Tonematch.Media.Files;

namespace Tonematch.Matching;

/// <summary>Writes a match's files; each is read back and compared before it counts as written.</summary>
public static class MatchFiles
{
    private static readonly (string Name, string Description)[] s_files =
    [
        ("report.html", "the evidence, one page: open it first"),
        ("correction.cube", "the correction as a 3D LUT: load it on every clip of the secondary"),
        ("correction.cdl", "the same as ASC CDL, as far as a CDL can hold it"),
        ("correction.clf", "the same as Common LUT Format"),
        ("match.json", "every figure, for other programs"),
        ("pairs.csv", "the corresponding colours"),
    ];

    // The text holds six decimals or more; float nodes read back must be this near.
    private const double ReadBackTolerance = 1e-6;

    /// <summary>The files' names, in the order in which people need them.</summary>
    public static IReadOnlyList<string> Names { get; } = [.. s_files.Select(f => f.Name)];

    /// <summary>What a file is, in a few words.</summary>
    public static string Describe(string name) => s_files.First(f => f.Name == name).Description;

    /// <summary>Writes everything an outcome has.</summary>
    /// <exception cref="UnusableInputException">A file cannot be written.</exception>
    public static async Task WriteAsync(MatchOutcome outcome, ResultFolder folder, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        ArgumentNullException.ThrowIfNull(folder);
        await Task.Run(
            () =>
            {
                WriteCube(outcome, folder);
                cancel.ThrowIfCancellationRequested();
                WriteText(folder, "pairs.csv", w => PairsCsv.Write(w, outcome.Samples));
                WriteText(folder, "match.json", w => w.Write(MatchJson.Write(outcome)));
            },
            cancel);
    }

    private static void WriteCube(MatchOutcome outcome, ResultFolder folder)
    {
        string title = $"{ProgramVersion.Text} {outcome.Chosen.Candidate.Correction.Kind.Name()}";
        StringWriter text = new(CultureInfo.InvariantCulture);
        CubeFormat.Write(text, outcome.Chosen.Lut, title);
        Lut3D back = CubeFormat.Read(new StringReader(text.ToString()), "correction.cube").Table
            ?? throw new InvalidOperationException("The LUT that was written holds no table.");
        ReadOnlySpan<float> written = outcome.Chosen.Lut.Nodes, read = back.Nodes;
        for (int i = 0; i < written.Length; i++)
        {
            if (!(Math.Abs(written[i] - read[i]) <= ReadBackTolerance))
            {
                throw new InvalidOperationException($"The LUT that was written reads back differently at value {i}: {read[i]} in place of {written[i]}.");
            }
        }

        WriteText(folder, "correction.cube", w => w.Write(text.ToString()));
    }

    private static void WriteText(ResultFolder folder, string name, Action<TextWriter> write) =>
        AtomicFile.Write(folder.PathOf(name), folder.Force, stream =>
        {
            using StreamWriter writer = new(stream, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false), leaveOpen: true) { NewLine = "\n" };
            write(writer);
        });
}
