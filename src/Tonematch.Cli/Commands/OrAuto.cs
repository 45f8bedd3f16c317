using System.CommandLine.Parsing;

namespace Tonematch.Cli.Commands;

/// <summary>
/// An option's value, or the choice left to the program: writing 'auto' means the same as leaving the option out.
/// </summary>
/// <remarks>
/// A separate type, because the command-line library treats a custom parser's null as a failed conversion.
/// </remarks>
/// <param name="Chosen">The value given; null for auto.</param>
internal readonly record struct OrAuto<T>(T? Chosen)
    where T : struct;

/// <summary>Makes parsers of <see cref="OrAuto{T}"/>.</summary>
internal static class OrAuto
{
    /// <summary>The word for the documented default.</summary>
    public const string Word = "auto";

    /// <summary>A parser that accepts the word, or anything that <paramref name="read"/> understands.</summary>
    /// <param name="read">Returns null for text it does not understand.</param>
    /// <param name="what">The accepted values, for the error message.</param>
    public static Func<ArgumentResult, OrAuto<T>> Parser<T>(Func<string, T?> read, string what)
        where T : struct =>
        result => result.Tokens[0].Value == Word ? default
            : read(result.Tokens[0].Value) is { } value ? new OrAuto<T>(value)
            : Inputs.Refuse<OrAuto<T>>(result, what);
}
