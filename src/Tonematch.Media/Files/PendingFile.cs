namespace Tonematch.Media.Files;

/// <summary>
/// A file being written under a temporary name beside its destination. Disposing without commit removes it.
/// </summary>
internal sealed class PendingFile : IDisposable
{
    private readonly string _path;
    private readonly bool _force;
    private bool _done;

    private PendingFile(string path, bool force)
    {
        (_path, _force) = (path, force);
        TemporaryPath = Path.Combine(Path.GetDirectoryName(path)!, $".tonematch-{Guid.NewGuid():N}.part");
    }

    /// <summary>The temporary path to write to.</summary>
    public string TemporaryPath { get; }

    /// <summary>Checks that the file may be written.</summary>
    public static PendingFile Begin(string path, bool force, IReadOnlyCollection<string> inputs)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(path);
        ArgumentNullException.ThrowIfNull(inputs);
        string full = Path.GetFullPath(path);
        if (Directory.Exists(full))
        {
            throw new UnusableInputException($"'{path}' is a folder: it cannot be written as a file. Give a file name inside it.");
        }

        if (inputs.Any(i => FileIdentity.AreSame(i, full)))
        {
            throw new UnusableInputException($"'{path}' is one of the inputs: it is never overwritten. Give another name.");
        }

        if (File.Exists(full) && !force)
        {
            throw new UnusableInputException($"'{path}' exists already. Give another name, or --force to overwrite it.");
        }

        if (!Directory.Exists(Path.GetDirectoryName(full)))
        {
            throw new UnusableInputException($"The folder of '{path}' does not exist. Make it first, or give another place.");
        }

        return new PendingFile(full, force);
    }

    /// <summary>Moves the file to its destination.</summary>
    public void Commit()
    {
        try
        {
            File.Move(TemporaryPath, _path, _force);
            _done = true;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Another program may have created it in the meantime.
            throw File.Exists(_path) && !_force
                ? new UnusableInputException($"'{_path}' exists already. Give another name, or --force to overwrite it.", e)
                : FileFault.Explain(_path, e);
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        if (_done)
        {
            return;
        }

        try
        {
            File.Delete(TemporaryPath);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Nothing more can be done about it.
        }
    }
}
