namespace Tonematch.Testing;

/// <summary>A fresh folder that is deleted with everything in it.</summary>
public sealed class TempFolder : IDisposable
{
    /// <summary>The folder's full path.</summary>
    public string FullPath { get; } = Directory.CreateTempSubdirectory("tonematch-test-").FullName;

    /// <summary>A path inside the folder.</summary>
    public string PathOf(params string[] parts) => Path.Combine([FullPath, .. parts]);

    /// <inheritdoc/>
    public void Dispose()
    {
        try
        {
            Directory.Delete(FullPath, recursive: true);
        }
        catch (IOException)
        {
            // A child process may still hold a file on some systems; the system's own cleaning takes it later.
        }
    }
}
