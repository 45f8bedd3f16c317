namespace Tonematch.Exports;

/// <summary>
/// The folder that results go to. Checked before the work begins, so that an hour's work does not end at a file that
/// may not be overwritten. Work that fails leaves no empty folder: disposing takes away again what was made and not used.
/// </summary>
public sealed class ResultFolder : IDisposable
{
    private readonly bool _force;

    // Folders that were not there before, the deepest first.
    private readonly string[] _made;

    private ResultFolder(string fullPath, bool force, string[] made) => (FullPath, _force, _made) = (fullPath, force, made);

    /// <summary>The folder's full path.</summary>
    public string FullPath { get; }

    /// <summary>Whether files that exist may be replaced.</summary>
    public bool Force => _force;

    /// <summary>Checks that results may be written there, and makes the folder.</summary>
    /// <param name="path">The folder; made when it is not there.</param>
    /// <param name="force">Whether files that exist may be replaced.</param>
    /// <param name="inputs">Files that must never be replaced.</param>
    /// <exception cref="UnusableInputException">It is a file, cannot be made, or holds results that may not be replaced.</exception>
    public static ResultFolder Prepare(string path, bool force, IEnumerable<string> inputs)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        if (string.IsNullOrWhiteSpace(path))
        {
            throw new UnusableInputException("The folder for the results has no name. Write for example --out match.");
        }

        if (File.Exists(path))
        {
            throw new UnusableInputException($"{path} is a file; the results need a folder. Name another with --out.");
        }

        try
        {
            string[] made = [.. Missing(Path.TrimEndingDirectorySeparator(Path.GetFullPath(path)))];
            ResultFolder folder = new(Directory.CreateDirectory(path).FullName, force, made);
            HashSet<string> given = [.. inputs.Select(Path.GetFullPath)];
            foreach (string name in MatchFiles.Names)
            {
                string file = folder.PathOf(name);
                if (given.Contains(file))
                {
                    throw new UnusableInputException($"{file} is one of the inputs and is never overwritten. Name another folder with --out.");
                }

                if (File.Exists(file) && !force)
                {
                    throw new UnusableInputException($"{file} is there already. Name another folder with --out, or add --force to replace it.");
                }
            }

            return folder;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw new UnusableInputException($"The folder {path} cannot be made: {e.Message}", e);
        }
    }

    /// <summary>The full path of a result.</summary>
    public string PathOf(string name) => Path.Combine(FullPath, name);

    /// <inheritdoc/>
    public void Dispose()
    {
        try
        {
            foreach (string folder in _made)
            {
                Directory.Delete(folder);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // It holds the results, or is not ours to take away.
        }
    }

    private static IEnumerable<string> Missing(string folder)
    {
        for (string? f = folder; f is not null && !Directory.Exists(f); f = Path.GetDirectoryName(f))
        {
            yield return f;
        }
    }
}
