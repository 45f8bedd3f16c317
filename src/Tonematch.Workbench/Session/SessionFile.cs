using Tonematch.Media.Files;

namespace Tonematch.Workbench.Session;

/// <summary>A session on the disk. Clips are written relative to the file, so that a folder may be moved as a whole.</summary>
public static class SessionFile
{
    /// <summary>Reads a session; clips get their full paths.</summary>
    /// <exception cref="UnusableInputException">It cannot be read, or is not a session.</exception>
    public static WorkbenchSession Read(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        string folder = FolderOf(path);
        return SessionJson.Read(
            TextInput.Read(path, "session", SessionJson.LargestLength), path,
            name => Path.GetFullPath(Path.Combine(folder, name.Replace('/', Path.DirectorySeparatorChar))));
    }

    /// <summary>Writes a session atomically, replacing an older one.</summary>
    /// <exception cref="UnusableInputException">It cannot be written; the older one is kept.</exception>
    public static void Write(string path, WorkbenchSession session)
    {
        ArgumentNullException.ThrowIfNull(path);
        ArgumentNullException.ThrowIfNull(session);
        string folder = FolderOf(path);
        string text = SessionJson.Write(session, clip => Path.GetRelativePath(folder, clip).Replace(Path.DirectorySeparatorChar, '/'));
        AtomicFile.WriteText(path, force: true, w => w.Write(text));
    }

    private static string FolderOf(string path) => Path.GetDirectoryName(Path.GetFullPath(path)) ?? path;
}
