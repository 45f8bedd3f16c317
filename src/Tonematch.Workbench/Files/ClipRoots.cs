using System.Collections.Immutable;

namespace Tonematch.Workbench.Files;

/// <summary>
/// The folders and clips named at the start: the page can name nothing else. A clip's id is the number of its root and
/// a path inside it, with '/' between; no path of this machine is sent to the page.
/// </summary>
internal sealed class ClipRoots
{
    private static readonly HashSet<string> s_kinds = new(StringComparer.OrdinalIgnoreCase)
    {
        ".mp4", ".mov", ".m4v", ".mkv", ".webm", ".avi", ".mts", ".m2ts", ".ts", ".mxf", ".mpg", ".mpeg", ".3gp", ".wmv", ".flv", ".ogv",
        ".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".bmp", ".heic", ".avif",
    };

    private const int MostClips = 500, Deepest = 3;

    private readonly ImmutableArray<Root> _roots;

    private ClipRoots(ImmutableArray<Root> roots) => _roots = roots;

    /// <summary>The display names of the roots.</summary>
    public IEnumerable<string> Names => _roots.Select(r => r.Name);

    /// <summary>Takes the places given at the start.</summary>
    /// <exception cref="UnusableInputException">One of them does not exist.</exception>
    public static ClipRoots Of(IEnumerable<string> places)
    {
        List<Root> roots = [];
        foreach (string place in places)
        {
            string full = Path.TrimEndingDirectorySeparator(Path.GetFullPath(place));
            if (Directory.Exists(full))
            {
                roots.Add(new Root(full, null));
            }
            else if (File.Exists(full))
            {
                roots.Add(new Root(Path.GetDirectoryName(full)!, Path.GetFileName(full)));
            }
            else
            {
                throw new UnusableInputException($"{place} is not there. Give folders of clips, or clips: tonematch workbench FOLDER");
            }
        }

        return new ClipRoots([.. roots.Distinct()]);
    }

    /// <summary>
    /// What may be opened, in order of name; hidden files, links and other kinds of files are skipped.
    /// </summary>
    /// <param name="except">A folder whose files are left out, because the workbench writes it.</param>
    public IReadOnlyList<string> List(string except)
    {
        List<string> ids = [];
        for (int i = 0; i < _roots.Length; i++)
        {
            if (_roots[i].File is { } file)
            {
                ids.Add($"{i}/{file}");
            }
            else
            {
                Add(ids, i, _roots[i].Folder, except, Deepest);
            }
        }

        return [.. ids.DistinctBy(PathOf).Take(MostClips)];
    }

    /// <summary>The file of an id; null if it is outside the roots, behind a link, missing, or not a clip.</summary>
    public string? PathOf(string? id) => PlaceOf(id) is { } path && File.Exists(path) ? path : null;

    /// <summary>A sentence with the folders removed: the page must not see paths of this machine.</summary>
    public string WithoutFolders(string sentence) => _roots.OrderByDescending(r => r.Folder.Length)
        .Aggregate(sentence, (text, root) => text.Replace(root.Folder + Path.DirectorySeparatorChar, "", StringComparison.Ordinal));

    /// <summary>Like <see cref="PathOf"/>, but also for a missing file: a clip that vanished keeps its id.</summary>
    public string? PlaceOf(string? id)
    {
        int slash = id?.IndexOf('/', StringComparison.Ordinal) ?? -1;
        if (slash <= 0 || !int.TryParse(id.AsSpan(0, slash), System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out int root) || root >= _roots.Length)
        {
            return null;
        }

        string relative = id![(slash + 1)..];
        string[] parts = relative.Split('/');
        if (parts.Any(p => p is "" or "." or ".." || p.AsSpan().ContainsAny('\0', '\\', ':')) || !s_kinds.Contains(Path.GetExtension(relative))
            || (_roots[root].File is { } only && only != relative))
        {
            return null;
        }

        string folder = _roots[root].Folder, full = Path.GetFullPath(Path.Combine([folder, .. parts]));
        if (!full.StartsWith(folder.EndsWith(Path.DirectorySeparatorChar) ? folder : folder + Path.DirectorySeparatorChar, StringComparison.Ordinal))
        {
            return null;
        }

        // A link inside a root may lead anywhere.
        string at = folder;
        foreach (string part in parts)
        {
            at = Path.Combine(at, part);
            if (new FileInfo(at).LinkTarget is not null || new DirectoryInfo(at).LinkTarget is not null)
            {
                return null;
            }
        }

        return full;
    }

    /// <summary>The id of a file, whether it exists or not; null if it is in no root.</summary>
    public string? IdOf(string path)
    {
        string full = Path.GetFullPath(path);
        for (int i = 0; i < _roots.Length; i++)
        {
            string relative = Path.GetRelativePath(_roots[i].Folder, full).Replace(Path.DirectorySeparatorChar, '/');
            if (PlaceOf($"{i}/{relative}") is { } found && found == full)
            {
                return $"{i}/{relative}";
            }
        }

        return null;
    }

    private static void Add(List<string> ids, int root, string folder, string except, int deeper)
    {
        Walk(folder, "", deeper);

        void Walk(string at, string relative, int levels)
        {
            IEnumerable<FileSystemInfo> entries;
            try
            {
                entries = [.. new DirectoryInfo(at).EnumerateFileSystemInfos().Where(e => e.LinkTarget is null && !e.Name.StartsWith('.')).OrderBy(e => e.Name, StringComparer.OrdinalIgnoreCase)];
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                // A folder without read permission shows nothing.
                return;
            }

            foreach (FileSystemInfo entry in entries)
            {
                if (ids.Count >= MostClips)
                {
                    return;
                }

                if (entry is FileInfo && s_kinds.Contains(entry.Extension))
                {
                    ids.Add($"{root}/{relative}{entry.Name}");
                }
                else if (entry is DirectoryInfo && levels > 0 && entry.FullName != except)
                {
                    Walk(entry.FullName, $"{relative}{entry.Name}/", levels - 1);
                }
            }
        }
    }

    /// <summary>A place given at the start.</summary>
    /// <param name="Folder">Full path of the folder.</param>
    /// <param name="File">The only clip in it that may be opened; null for all.</param>
    private sealed record Root(string Folder, string? File)
    {
        public string Name => File ?? Path.GetFileName(Folder);
    }
}
