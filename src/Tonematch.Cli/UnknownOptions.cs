using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Parsing;

namespace Tonematch.Cli;

/// <summary>
/// Finds words on the command line that look like options but are unknown to the command. If a command takes several
/// files, the parser would treat them as files, and the work would begin.
/// </summary>
internal static class UnknownOptions
{
    /// <summary>The message about the first unknown option; null if there is none.</summary>
    public static string? Refusal(ParseResult parsed)
    {
        if (parsed.Action is HelpAction)
        {
            return null;
        }

        // After '--' everything is a file, whatever it looks like.
        List<Token> before = [.. parsed.Tokens.TakeWhile(t => t.Type != TokenType.DoubleDash)];
        IEnumerable<Token> files = parsed.CommandResult.Children.OfType<ArgumentResult>().SelectMany(a => a.Tokens);
        IEnumerable<Token> values = parsed.CommandResult.Children.OfType<OptionResult>().SelectMany(o => o.Tokens)
            .Where(t => t.Value.StartsWith("--", StringComparison.Ordinal));
        Token? unknown = files.Concat(values).FirstOrDefault(t => LooksLikeAnOption(t.Value) && before.Exists(b => ReferenceEquals(b, t)));
        string? word = unknown?.Value
            ?? parsed.UnmatchedTokens.FirstOrDefault(w => LooksLikeAnOption(w) && before.Exists(b => b.Value == w));
        return word is null ? null : Sentence(word, Names(parsed));
    }

    internal static string Sentence(string word, IReadOnlyList<string> known)
    {
        string name = word.Split('=')[0];
        string[] near = Nearest(name, known);
        string meant = near.Length == 0 ? "" : $" Did you mean {string.Join(" or ", near)}?";
        return $"There is no option '{name}'.{meant} (A file of that name is written ./{word}.)";
    }

    private static bool LooksLikeAnOption(string word) => word.Length > 1 && word[0] == '-';

    private static List<string> Names(ParseResult parsed)
    {
        List<string> names = [.. parsed.CommandResult.Command.Options.Where(o => !o.Hidden).Select(o => o.Name)];
        for (SymbolResult? r = parsed.CommandResult.Parent; r is CommandResult c; r = r.Parent)
        {
            names.AddRange(c.Command.Options.Where(o => o is { Recursive: true, Hidden: false }).Select(o => o.Name));
        }

        return names;
    }

    // Names that contain the word or are contained in it (--encoding: --primary-encoding); otherwise the closest by
    // edit distance, up to a third of the word.
    private static string[] Nearest(string name, IReadOnlyList<string> known)
    {
        string bare = name.TrimStart('-');
        string[] holding = [.. known.Where(k => bare.Length >= 4 && k.TrimStart('-') is var b
            && (b.Contains(bare, StringComparison.OrdinalIgnoreCase) || bare.Contains(b, StringComparison.OrdinalIgnoreCase)))];
        if (holding.Length is > 0 and <= 3)
        {
            return holding;
        }

        (string Name, int Distance)[] far = [.. known.Select(k => (k, Distance(bare, k.TrimStart('-')))).OrderBy(k => k.Item2)];
        return far.Length > 0 && far[0].Distance <= Math.Max(1, bare.Length / 3) ? [far[0].Name] : [];
    }

    // V. I. Levenshtein, 'Binary codes capable of correcting deletions, insertions, and reversals', 1966.
    private static int Distance(string a, string b)
    {
        int[] row = [.. Enumerable.Range(0, b.Length + 1)];
        for (int i = 1; i <= a.Length; i++)
        {
            int corner = row[0];
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int changed = corner + (char.ToLowerInvariant(a[i - 1]) == char.ToLowerInvariant(b[j - 1]) ? 0 : 1);
                corner = row[j];
                row[j] = Math.Min(changed, Math.Min(row[j], row[j - 1]) + 1);
            }
        }

        return row[b.Length];
    }
}
