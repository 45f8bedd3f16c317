using System.CommandLine;

namespace Tonematch.Cli.Commands;

/// <summary>The command as it was given, so that a report can state how it was made.</summary>
internal static class CommandText
{
    /// <summary>The words of the command line, quoted where a shell would need it.</summary>
    public static string Of(ParseResult parsed) => "tonematch " + string.Join(' ', parsed.Tokens.Select(t => Quoted(t.Value)));

    // A backslash separates folders on Windows; elsewhere a shell would remove it.
    private static string Plain { get; } = OperatingSystem.IsWindows() ? @"-_./,:=+\" : "-_./,:=+";

    private static string Quoted(string word) =>
        word.Length > 0 && word.All(c => char.IsLetterOrDigit(c) || Plain.Contains(c, StringComparison.Ordinal)) ? word : $"'{word.Replace("'", "'\\''", StringComparison.Ordinal)}'";
}
