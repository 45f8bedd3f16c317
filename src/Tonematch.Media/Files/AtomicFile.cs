using System.Text;

namespace Tonematch.Media.Files;

/// <summary>
/// Writes files atomically: under a temporary name beside the destination, flushed to the disk, then renamed. Existing
/// files are overwritten only on request, inputs never.
/// </summary>
public static class AtomicFile
{
    /// <summary>Writes a file.</summary>
    /// <param name="path">The destination; its folder must exist.</param>
    /// <param name="force">Whether to overwrite an existing file.</param>
    /// <param name="write">Writes the content; if it throws, no file remains.</param>
    /// <param name="inputs">Files that must never be overwritten, not even with <paramref name="force"/>.</param>
    /// <exception cref="UnusableInputException">The file exists, is an input or a folder, its folder is missing or
    /// read-only, or the disk is full.</exception>
    public static void Write(string path, bool force, Action<Stream> write, params IReadOnlyCollection<string> inputs)
    {
        ArgumentNullException.ThrowIfNull(write);
        using PendingFile pending = PendingFile.Begin(path, force, inputs);
        try
        {
            using (FileStream stream = new(pending.TemporaryPath, FileMode.CreateNew, FileAccess.Write, FileShare.None))
            {
                write(stream);
                stream.Flush(flushToDisk: true);
            }

            pending.Commit();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw FileFault.Explain(path, e);
        }
    }

    /// <summary>Writes a text file in the same way: UTF-8 without a byte order mark, LF line ends.</summary>
    /// <param name="path">The destination; its folder must exist.</param>
    /// <param name="force">Whether to overwrite an existing file.</param>
    /// <param name="write">Writes the text; if it throws, no file remains.</param>
    /// <param name="inputs">Files that must never be overwritten, not even with <paramref name="force"/>.</param>
    /// <exception cref="UnusableInputException">As for <see cref="Write"/>.</exception>
    public static void WriteText(string path, bool force, Action<TextWriter> write, params IReadOnlyCollection<string> inputs)
    {
        ArgumentNullException.ThrowIfNull(write);
        Write(
            path, force,
            stream =>
            {
                using StreamWriter writer = new(stream, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false), leaveOpen: true) { NewLine = "\n" };
                write(writer);
            },
            inputs);
    }

    /// <summary>
    /// Before long work, throws the exception that <see cref="Write"/> would throw; also tries to write there.
    /// </summary>
    /// <param name="path">The destination.</param>
    /// <param name="force">Whether an existing file may be overwritten.</param>
    /// <param name="inputs">Files that must never be overwritten.</param>
    public static void Check(string path, bool force, params IReadOnlyCollection<string> inputs)
    {
        using PendingFile pending = PendingFile.Begin(path, force, inputs);
        try
        {
            File.WriteAllBytes(pending.TemporaryPath, [0]);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw FileFault.Explain(path, e);
        }
    }
}
