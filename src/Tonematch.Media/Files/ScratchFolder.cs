namespace Tonematch.Media.Files;

/// <summary>A private folder for temporary files; disposing deletes it with its contents.</summary>
public sealed class ScratchFolder : IDisposable
{
    private ScratchFolder(string fullPath) => FullPath = fullPath;

    /// <summary>The folder's full path.</summary>
    public string FullPath { get; }

    /// <summary>Creates a new folder in the system's temporary folder.</summary>
    /// <exception cref="UnusableInputException">That folder does not exist or cannot be written.</exception>
    public static ScratchFolder Create()
    {
        try
        {
            return new ScratchFolder(Directory.CreateTempSubdirectory("tonematch-").FullName);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException(
                $"The folder for temporary files, {Path.GetTempPath()}, cannot be used: {(FileFault.IsDiskFull(e) ? "the disk is full." : e.Message)} "
                + "Set TMPDIR (on Windows TMP) to an existing folder with free space.", e);
        }
    }

    /// <summary>A path inside the folder.</summary>
    public string PathOf(string name) => Path.Combine(FullPath, name);

    /// <inheritdoc/>
    public void Dispose()
    {
        try
        {
            Directory.Delete(FullPath, recursive: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // The system's own cleaning removes it later; the work is done anyway.
        }
    }
}
