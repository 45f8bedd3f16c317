using System.Collections.Immutable;

namespace Tonematch.Workbench;

/// <summary>How the workbench is started.</summary>
/// <param name="Places">Folders and clips that may be opened; nothing else on the disk is.</param>
/// <param name="OutFolder">The folder for everything that is written: the session and the results.</param>
public sealed record WorkbenchOptions(ImmutableArray<string> Places, string OutFolder)
{
    /// <summary>The port on 127.0.0.1; 0 lets the system choose.</summary>
    public int Port { get; init; }

    /// <summary>
    /// The folder for small copies of clips that the browser cannot play; null for the user's default folder for such
    /// data.
    /// </summary>
    public string? CacheFolder { get; init; }
}
