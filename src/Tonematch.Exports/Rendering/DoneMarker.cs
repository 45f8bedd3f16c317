using System.Globalization;
using Tonematch.Media.Files;

namespace Tonematch.Exports.Rendering;

/// <summary>
/// What the file beside a rendered clip says: which clip it was rendered from, and whether the rendering was finished.
/// Three lines of text.
/// </summary>
/// <param name="Clip">Absolute path of the clip.</param>
/// <param name="Mark">What the result was made of, as a hash; null while it is being rendered.</param>
/// <param name="OutLength">The result's length in bytes; 0 while it is being rendered.</param>
internal sealed record DoneMarker(string Clip, string? Mark, long OutLength)
{
    private const string Begun = "begun";
    private const long LargestBytes = 100_000;

    /// <summary>Reads a marker; null if there is none, or if it is not one of ours.</summary>
    public static DoneMarker? Read(string path)
    {
        if (!File.Exists(path))
        {
            return null;
        }

        string[] lines = TextInput.Read(path, "a mark of a rendering", LargestBytes).Split('\n');
        return lines.Length >= 3 && long.TryParse(lines[2], NumberStyles.None, CultureInfo.InvariantCulture, out long length)
            ? new DoneMarker(lines[1], lines[0] == Begun ? null : lines[0], length)
            : null;
    }

    /// <summary>Writes it, in place of an earlier one.</summary>
    /// <exception cref="UnusableInputException">It cannot be written.</exception>
    public void Write(string path) =>
        AtomicFile.WriteText(path, force: true, w => w.Write(string.Create(CultureInfo.InvariantCulture, $"{Mark ?? Begun}\n{Clip}\n{OutLength}\n")));
}
