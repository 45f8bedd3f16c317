namespace Tonematch.Matching.Shoot;

/// <summary>Names of cameras as names of files.</summary>
public static class FileNames
{
    /// <summary>The name with '-' in place of characters that some file system forbids.</summary>
    public static string Safe(string name)
    {
        string safe = new([.. name.Select(c => char.IsControl(c) || "<>:\"/\\|?*".Contains(c, StringComparison.Ordinal) ? '-' : c)]);
        return safe.Trim().Trim('.') is { Length: > 0 } s ? s : "camera";
    }
}
