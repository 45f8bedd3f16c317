namespace Tonematch.Cli.Commands;

/// <summary>How programs are installed on a machine.</summary>
internal enum PackageSystem
{
    /// <summary>None that the program knows.</summary>
    Unknown,

    /// <summary>Debian and its family, for a user who needs sudo.</summary>
    Apt,

    /// <summary>Debian and its family, as root.</summary>
    AptAsRoot,

    /// <summary>macOS with Homebrew.</summary>
    Brew,

    /// <summary>Windows.</summary>
    Winget,
}
