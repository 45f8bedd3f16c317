namespace Tonematch.Media.Files;

/// <summary>
/// Decides whether two paths lead to one file, through file and folder links, hard links, or letter case.
/// </summary>
public static class FileIdentity
{
    private const int MostLinks = 40;

    /// <summary>
    /// Whether the two are the same file. A missing file equals one that would be created at its path.
    /// </summary>
    public static bool AreSame(string a, string b)
    {
        string first = Resolved(a), second = Resolved(b);
        return string.Equals(first, second, OperatingSystem.IsLinux() ? StringComparison.Ordinal : StringComparison.OrdinalIgnoreCase)
            || AreOneFileOfTwoNames(first, second);
    }

    /// <summary>The full path with every link resolved, as far as it exists.</summary>
    public static string Resolved(string path)
    {
        string full = Path.GetFullPath(path);
        try
        {
            string done = Path.GetPathRoot(full) ?? "";
            Stack<string> ahead = new(Parts(full[done.Length..]));
            for (int links = 0; ahead.TryPop(out string? part);)
            {
                string next = Path.Combine(done, part);
                FileSystemInfo here = Directory.Exists(next) ? new DirectoryInfo(next) : new FileInfo(next);
                if (here.LinkTarget is not { } target || links++ > MostLinks)
                {
                    done = next;
                    continue;
                }

                string led = Path.GetFullPath(target, done);
                done = Path.GetPathRoot(led) ?? "";
                foreach (string p in Parts(led[done.Length..]))
                {
                    ahead.Push(p);
                }
            }

            return done;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return full;
        }
    }

    // In reverse order, because they are pushed on a stack.
    private static IEnumerable<string> Parts(string path) =>
        path.Split([Path.DirectorySeparatorChar, Path.AltDirectorySeparatorChar], StringSplitOptions.RemoveEmptyEntries).Reverse();

    // A hard link, or a folder mounted twice. No portable call returns a file's inode number; but a file that is locked
    // exclusively under one name cannot be opened under the other.
    private static bool AreOneFileOfTwoNames(string a, string b)
    {
        FileInfo first = new(a), second = new(b);
        if (!first.Exists || !second.Exists || first.Length != second.Length || first.LastWriteTimeUtc != second.LastWriteTimeUtc)
        {
            return false;
        }

        return CanBeHeld(a) && CanBeHeld(b) && !CanBeHeldBesides(a, b);
    }

    private static bool CanBeHeld(string path)
    {
        try
        {
            using FileStream alone = new(path, FileMode.Open, FileAccess.Read, FileShare.None);
            return true;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    private static bool CanBeHeldBesides(string held, string path)
    {
        using FileStream alone = new(held, FileMode.Open, FileAccess.Read, FileShare.None);
        return CanBeHeld(path);
    }
}
