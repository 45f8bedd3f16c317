namespace Tonematch.Cli.Commands;

/// <summary>Where each secondary's files go.</summary>
internal static class SecondaryFolders
{
    /// <summary>
    /// Where no folder was named: one beside each clip, named after it, and never one that is there already. Else the
    /// folder itself for one secondary; for several a folder each inside it, named for the clip, with a number where
    /// two clips have the same name.
    /// </summary>
    public static string[] For(string? root, IReadOnlyList<string> clips)
    {
        HashSet<string> taken = new(StringComparer.OrdinalIgnoreCase);
        return root is null ? [.. clips.Select(c => Fresh(Path.Combine(Path.GetDirectoryName(Path.GetFullPath(c)) ?? "", NameOf(c) + "-match"), taken))]
            : clips.Count == 1 ? [root]
            : [.. clips.Select(c => Unique(Path.Combine(root, NameOf(c)), p => !taken.Add(p)))];
    }

    /// <summary>A path as given, or with the first number behind it that is not there yet.</summary>
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
