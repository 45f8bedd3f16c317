using System.CommandLine.Parsing;

namespace Tonematch.Cli.Commands;

/// <summary>
/// What an option was set to, or that the program is to choose: 'auto' written out means the same as leaving it out.
/// </summary>
/// <remarks>
/// A type of its own because the command-line library takes a custom parser's null for a failed conversion.
/// </remarks>
/// <param name="Chosen">What was written; null for auto.</param>
internal readonly record struct OrAuto<T>(T? Chosen)
    where T : struct;

/// <summary>Makes parsers of <see cref="OrAuto{T}"/>.</summary>
internal static class OrAuto
{
    /// <summary>The word that stands for the documented default.</summary>
    public const string Word = "auto";

    /// <summary>A parser that takes the word, or what <paramref name="read"/> understands.</summary>
    /// <param name="read">Gives null for what it does not understand.</param>
    /// <param name="what">What may be written, for the sentence of refusal.</param>
    public static Func<ArgumentResult, OrAuto<T>> Parser<T>(Func<string, T?> read, string what)
        where T : struct =>
        result => result.Tokens[0].Value == Word ? default
            : read(result.Tokens[0].Value) is { } value ? new OrAuto<T>(value)
            : Inputs.Refuse<OrAuto<T>>(result, what);
}
