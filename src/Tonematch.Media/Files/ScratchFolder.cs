namespace Tonematch.Media.Files;

/// <summary>A private folder for files that are needed for a while; disposing deletes it with everything in it.</summary>
public sealed class ScratchFolder : IDisposable
{
    private ScratchFolder(string fullPath) => FullPath = fullPath;

    /// <summary>The folder's full path.</summary>
    public string FullPath { get; }

    /// <summary>Makes a fresh folder where the system keeps temporary files.</summary>
    /// <exception cref="UnusableInputException">That place is not there, or may not be written.</exception>
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
                + "Set TMPDIR (on Windows TMP) to a folder that is there and has some space.", e);
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
            // The system's own cleaning takes it later; the work is done all the same.
        }
    }
}
