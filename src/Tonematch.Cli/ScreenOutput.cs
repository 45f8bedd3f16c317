using System.Text;
using Spectre.Console;

namespace Tonematch.Cli;

/// <summary>
/// Tells the console library whether the wrapped writer is a terminal, which it cannot find out itself.
/// </summary>
internal sealed class ScreenOutput(TextWriter writer, bool isTerminal) : IAnsiConsoleOutput
{
    private const int UsualWidth = 80;
    private const int UsualHeight = 24;

    /// <inheritdoc/>
    public TextWriter Writer => writer;

    /// <inheritdoc/>
    public bool IsTerminal => isTerminal;

    /// <inheritdoc/>
    public int Width => Measured(() => Console.WindowWidth, UsualWidth);

    /// <inheritdoc/>
    public int Height => Measured(() => Console.WindowHeight, UsualHeight);

    /// <inheritdoc/>
    public void SetEncoding(Encoding encoding)
    {
        // The system console sets the encoding.
    }

    private static int Measured(Func<int> side, int usual)
    {
        try
        {
            return side() is > 0 and int n ? n : usual;
        }
        catch (IOException)
        {
            return usual;
        }
    }
}
