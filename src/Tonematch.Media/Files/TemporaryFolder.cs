namespace Tonematch.Media.Files;

/// <summary>The folder for files needed only while the program runs.</summary>
/// <param name="FullPath">Its path.</param>
/// <param name="FreeBytes">Free space on its disk for this user, bytes; null if unknown.</param>
/// <param name="Fault">A sentence on why nothing can be written there; null if it can.</param>
public sealed record TemporaryFolder(string FullPath, long? FreeBytes, string? Fault)
{
    // A LUT of 129 nodes per side takes 60 MB of text; the rest is small.
    private const long NeededBytes = 200_000_000;

    /// <summary>Tests it by writing a small file.</summary>
    public static TemporaryFolder Look()
    {
        string path = Path.GetTempPath();
        try
        {
            long free = new DriveInfo(path).AvailableFreeSpace;
            DirectoryInfo probe = Directory.CreateTempSubdirectory("tonematch-");
            try
            {
                File.WriteAllText(Path.Combine(probe.FullName, "probe"), "probe");
            }
            finally
            {
                probe.Delete(recursive: true);
            }

            return new TemporaryFolder(path, free, free >= NeededBytes ? null : $"The temporary folder {path} has less than 200 MB of free space. Free some, or set TMPDIR to another folder.");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            return new TemporaryFolder(path, null, $"Nothing can be written into the temporary folder {path} ({e.Message.TrimEnd('.')}). Set TMPDIR to a folder that can be written to.");
        }
    }
}
