namespace Tonematch.Cli.Commands;

/// <summary>The folders for each secondary's files.</summary>
internal static class SecondaryFolders
{
    /// <summary>
    /// Without a named folder: a new folder beside each clip, named after it, never an existing one. Otherwise the
    /// folder itself for one secondary; for several, one folder per clip inside it, named after the clip, with a number
    /// if two clips have the same name.
    /// </summary>
    public static string[] For(string? root, IReadOnlyList<string> clips)
    {
        HashSet<string> taken = new(StringComparer.OrdinalIgnoreCase);
        return root is null ? [.. clips.Select(c => Fresh(Path.Combine(Path.GetDirectoryName(Path.GetFullPath(c)) ?? "", NameOf(c) + "-match"), taken))]
            : clips.Count == 1 ? [root]
            : [.. clips.Select(c => Unique(Path.Combine(root, NameOf(c)), p => !taken.Add(p)))];
    }

    /// <summary>A path as given, or with the first number appended that makes it new.</summary>
    public static string Fresh(string path) => Fresh(path, []);

    private static string Fresh(string path, HashSet<string> taken) => Unique(path, p => Path.Exists(p) || !taken.Add(p));

    private static string Unique(string path, Func<string, bool> isTaken)
    {
        string unique = path;
        for (int i = 2; isTaken(unique); i++)
        {
            unique = $"{path}-{i}";
        }

        return unique;
    }

    private static string NameOf(string clip) =>
        Path.GetFileNameWithoutExtension(clip) is { Length: > 0 } n && n.Trim('.').Length > 0 ? n : "secondary";
}
