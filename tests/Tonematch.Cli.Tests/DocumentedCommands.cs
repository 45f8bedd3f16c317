using System.Text.RegularExpressions;
using Tonematch.Testing;

namespace Tonematch.Cli.Tests;

/// <summary>The commands that README.md and docs/guide.md tell people to type.</summary>
internal static partial class DocumentedCommands
{
    /// <summary>Every command once, in the order of the pages, as its words after 'tonematch'.</summary>
    public static string[] All { get; } =
        [.. new[] { RepositoryFolder.PathOf("README.md"), RepositoryFolder.PathOf("docs", "guide.md") }.SelectMany(p => Of(File.ReadAllText(p))).Distinct()];

    /// <summary>The commands of one page: lines of code that begin with ./run tonematch, and the same inside a sentence.</summary>
    public static IEnumerable<string> Of(string markdown) =>
        Line().Matches(markdown).Concat(Inline().Matches(markdown)).OrderBy(m => m.Index)
            .Select(m => m.Groups[1].Value.Trim())

            // 'COMMAND' and the like stand for a word of the reader's own.
            .Where(c => !Placeholder().IsMatch(c));

    // What follows two spaces explains the command.
    [GeneratedRegex(@"^(?: {4})?\./run tonematch (\S+(?: \S+)*)", RegexOptions.Multiline)]
    private static partial Regex Line();

    [GeneratedRegex(@"`(?:\./run )?tonematch ([^`]+)`")]
    private static partial Regex Inline();

    [GeneratedRegex(@"\b[A-Z]{2,}\b")]
    private static partial Regex Placeholder();
}
