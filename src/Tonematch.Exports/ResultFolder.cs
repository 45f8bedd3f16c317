using Tonematch.Media.Files;

namespace Tonematch.Exports;

/// <summary>
/// The folder for results. It is checked and locked before the work begins, so that an hour of work does not fail at a
/// file that cannot be written. Results are written into a private folder beside it and put in place together by
/// <see cref="Commit"/>; disposing without that leaves everything as it was.
/// </summary>
public sealed class ResultFolder : IDisposable
{
    private readonly bool _isNew;
    private readonly string _stage;
    private readonly FileStream _lock;
    private readonly IReadOnlyList<string> _names;

    // Parent folders that were created, deepest first.
    private readonly string[] _made;

    private ResultFolder(string fullPath, IReadOnlyList<string> names, bool isNew, bool force, string[] made, FileStream hold, string stage)
    {
        (FullPath, _names, _isNew, Force, _made, _lock, _stage) = (fullPath, names, isNew, force, made, hold, stage);
    }

    /// <summary>The folder's full path.</summary>
    public string FullPath { get; }

    /// <summary>Whether existing files may be replaced.</summary>
    public bool Force { get; }

    /// <summary>Checks that results may be written there, and locks the folder.</summary>
    /// <param name="path">The folder; created when the results are put in place.</param>
    /// <param name="names">The names of the results.</param>
    /// <param name="force">Whether existing files may be replaced.</param>
    /// <param name="inputs">Files that must never be replaced.</param>
    /// <exception cref="UnusableInputException">The path is a file, cannot be created or written, is in use by another run, or holds results that may not be replaced.</exception>
    public static ResultFolder Prepare(string path, IReadOnlyList<string> names, bool force, IReadOnlyCollection<string> inputs)
    {
        ArgumentNullException.ThrowIfNull(names);
        ArgumentNullException.ThrowIfNull(inputs);
        if (string.IsNullOrWhiteSpace(path))
        {
            throw new UnusableInputException("The folder for the results has no name. Write for example --out match.");
        }

        if (File.Exists(path))
        {
            throw new UnusableInputException($"{path} is a file; the results need a folder. Name another with --out.");
        }

        List<string> made = [];
        try
        {
            string full = FileIdentity.Resolved(Path.TrimEndingDirectorySeparator(path));
            bool isNew = !Directory.Exists(full);
            foreach (string file in names.Select(n => Path.Combine(full, n)))
            {
                if (inputs.Any(i => FileIdentity.AreSame(i, file)))
                {
                    throw new UnusableInputException($"{file} is one of the inputs and is never overwritten. Name another folder with --out.");
                }

                if (File.Exists(file) && !force)
                {
                    throw new UnusableInputException($"{file} is there already. Name another folder with --out, or add --force to replace it.");
                }
            }

            // Beside a new folder, inside an existing one: renaming works within one disk only.
            string beside = isNew ? Path.GetDirectoryName(full)! : full;
            made.AddRange(Missing(beside));
            Directory.CreateDirectory(beside);
            FileStream hold = Hold(Path.Combine(beside, isNew ? $".{Path.GetFileName(full)}.tonematch-lock" : ".tonematch-lock"), path);
            try
            {
                string stage = Path.Combine(beside, $".tonematch-{Guid.NewGuid():N}.part");
                Directory.CreateDirectory(stage);
                return new ResultFolder(full, names, isNew, force, [.. made], hold, stage);
            }
            catch
            {
                hold.Dispose();
                throw;
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            Remove(made);
            throw new UnusableInputException(
                FileFault.IsDiskFull(e) ? $"Results cannot be written into {path}: the disk is full. Free some space, or name another folder with --out."
                : e is UnauthorizedAccessException ? $"Results cannot be written into {path}: it may not be written. Name another folder with --out."
                : $"Results cannot be written into {path}: {e.Message} Name another folder with --out.", e);
        }
        catch (UnusableInputException)
        {
            Remove(made);
            throw;
        }
    }

    /// <summary>The future full path of a result.</summary>
    public string PathOf(string name) => Path.Combine(FullPath, name);

    /// <summary>The temporary path of a result until all are put in place.</summary>
    public string StagePathOf(string name) => Path.Combine(_stage, name);

    /// <summary>
    /// Puts all written files in place: a new folder in one step, files in an existing folder one after the other. If
    /// files may be replaced, files of an earlier run that this run does not have are deleted, so that results never
    /// mix.
    /// </summary>
    /// <exception cref="UnusableInputException">Another program created the folder or a result in the meantime, or it cannot be written.</exception>
    public void Commit()
    {
        try
        {
            if (_isNew)
            {
                Directory.Move(_stage, FullPath);
                return;
            }

            string[] files = Directory.GetFiles(_stage);
            HashSet<string> written = [.. files.Select(f => Path.GetFileName(f))];
            foreach (string file in files)
            {
                File.Move(file, PathOf(Path.GetFileName(file)), Force);
            }

            foreach (string stale in _names.Where(n => Force && !written.Contains(n)))
            {
                File.Delete(PathOf(stale));
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw FileFault.Explain(FullPath, e);
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _lock.Dispose();
        try
        {
            if (Directory.Exists(_stage))
            {
                Directory.Delete(_stage, recursive: true);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Nothing more can be done about it.
        }

        Remove(_made);
    }

    // The system deletes it when the program ends, however it ends.
    private static FileStream Hold(string path, string folder)
    {
        try
        {
            return new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None, bufferSize: 1, FileOptions.DeleteOnClose);
        }
        catch (IOException) when (File.Exists(path))
        {
            throw new UnusableInputException($"Another run is writing its results into {folder}. Wait until it is done, or name another folder with --out.");
        }
    }

    // Removes those that are still empty.
    private static void Remove(IReadOnlyList<string> folders)
    {
        try
        {
            foreach (string folder in folders)
            {
                Directory.Delete(folder);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // It holds the results, or is not ours to remove.
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
