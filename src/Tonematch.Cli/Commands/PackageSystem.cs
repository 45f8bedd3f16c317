namespace Tonematch.Cli.Commands;

/// <summary>How programs are installed on a machine.</summary>
internal enum PackageSystem
{
    /// <summary>None that is known here.</summary>
    Unknown,

    /// <summary>Debian and its family, by a user who must ask for the right to.</summary>
    Apt,

    /// <summary>Debian and its family, as root.</summary>
    AptAsRoot,

    /// <summary>macOS with Homebrew.</summary>
    Brew,

    /// <summary>Windows.</summary>
    Winget,
}
