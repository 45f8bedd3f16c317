using System.Text;

namespace Tonematch.Cli;

/// <summary>
/// Writes to a screen that may disappear: after its window is closed, text is discarded, so that the work can still
/// clean up.
/// </summary>
internal sealed class ScreenWriter(TextWriter screen) : TextWriter
{
    /// <inheritdoc/>
    public override Encoding Encoding => screen.Encoding;

    /// <inheritdoc/>
    public override void Write(char value) => Try(() => screen.Write(value));

    /// <inheritdoc/>
    public override void Write(string? value) => Try(() => screen.Write(value));

    /// <inheritdoc/>
    public override void Write(char[] buffer, int index, int count) => Try(() => screen.Write(buffer, index, count));

    /// <inheritdoc/>
    public override void WriteLine(string? value) => Try(() => screen.WriteLine(value));

    /// <inheritdoc/>
    public override void Flush() => Try(screen.Flush);

    private static void Try(Action write)
    {
        try
        {
            write();
        }
        catch (IOException)
        {
            // The screen is gone.
        }
    }
}
