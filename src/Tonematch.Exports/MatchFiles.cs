using Tonematch.Exports.Products;
using Tonematch.Matching.Outcome;
using Tonematch.Media.Files;
using Tonematch.Reporting;

namespace Tonematch.Exports;

/// <summary>Writes a match's files, all of them or none.</summary>
public static class MatchFiles
{
    /// <summary>The files' names, in the order in which people need them.</summary>
    public static IReadOnlyList<string> Names { get; } = [.. Product.All.Select(p => p.Name)];

    /// <summary>A short description of a file.</summary>
    public static string Describe(string name) => Product.All.First(p => p.Name == name).Description;

    /// <summary>
    /// Whether the correction's files are written: not if the verdict is 'do not use it', unless the user wants them
    /// anyway.
    /// </summary>
    /// <param name="outcome">The result of the match.</param>
    /// <param name="evenSo">Write them whatever the verdict.</param>
    public static bool HandsOver(MatchOutcome outcome, bool evenSo)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        return evenSo || outcome.Verdict.Kind != VerdictKind.DoNotUse;
    }

    /// <summary>Writes all files of an outcome and puts them in place together.</summary>
    /// <param name="outcome">The result of the match.</param>
    /// <param name="evenSo">Whether the correction is written even if the verdict is 'do not use it'; the report always is.</param>
    /// <param name="folder">The destination.</param>
    /// <param name="command">The command as it was given, for the report.</param>
    /// <param name="cancel">Stops between files.</param>
    /// <exception cref="UnusableInputException">A file cannot be written.</exception>
    public static async Task WriteAsync(MatchOutcome outcome, bool evenSo, ResultFolder folder, string command, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        ArgumentNullException.ThrowIfNull(folder);
        ProductContext context = new(await ReportEvidence.GatherAsync(outcome, command, cancel) with { IsHandedOver = HandsOver(outcome, evenSo) }, folder.PathOf);
        await Parallel.ForEachAsync(Product.All.Where(p => p.IsMadeOf(outcome) && (p.IsEvidence || HandsOver(outcome, evenSo))), cancel, (product, _) =>
        {
            Write(folder, product.Name, product.Make(outcome, context));
            return ValueTask.CompletedTask;
        });
        folder.Commit();
    }

    // Messages name the final file, not its temporary place.
    private static void Write(ResultFolder folder, string name, string text)
    {
        string path = folder.StagePathOf(name);
        try
        {
            AtomicFile.WriteText(path, force: false, w => w.Write(text));
        }
        catch (UnusableInputException e) when (e.Message.Contains(path, StringComparison.Ordinal))
        {
            throw new UnusableInputException(e.Message.Replace(path, folder.PathOf(name), StringComparison.Ordinal), e);
        }
    }
}
