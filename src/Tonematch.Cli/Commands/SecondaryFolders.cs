namespace Tonematch.Cli.Commands;

/// <summary>Where each secondary's files go.</summary>
internal static class SecondaryFolders
{
    /// <summary>
    /// The folder itself for one secondary; for several a folder each inside it, named for the clip, with a number
    /// where two clips have the same name.
    /// </summary>
    public static string[] For(string root, IReadOnlyList<string> clips)
    {
        if (clips.Count == 1)
        {
            return [root];
        }

        HashSet<string> taken = new(StringComparer.OrdinalIgnoreCase);
        return [.. clips.Select(clip =>
        {
            string name = Path.GetFileNameWithoutExtension(clip) is { Length: > 0 } n && n.Trim('.').Length > 0 ? n : "secondary";
            string unique = name;
            for (int i = 2; !taken.Add(unique); i++)
            {
                unique = $"{name}-{i}";
            }

            return Path.Combine(root, unique);
        })];
    }
}
