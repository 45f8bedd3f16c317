namespace Tonematch.Media.Files;

/// <summary>The folder for what is needed only while the program runs.</summary>
/// <param name="FullPath">Where it is.</param>
/// <param name="FreeBytes">Space on its disk that this user may fill, in bytes; null when the system does not say.</param>
/// <param name="Fault">A sentence why nothing can be written there; null when it can.</param>
public sealed record TemporaryFolder(string FullPath, long? FreeBytes, string? Fault)
{
    // A LUT of 129 nodes a side is 60 MB of text; the rest is small.
    private const long NeededBytes = 200_000_000;

    /// <summary>Looks at it, by writing a small file.</summary>
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
