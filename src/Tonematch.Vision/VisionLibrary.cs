using System.Collections.Immutable;
using System.Globalization;

namespace Tonematch.Vision;

/// <summary>The state of OpenCV's native library on this machine: usable, or why not and how to fix it.</summary>
/// <param name="Version">OpenCV's version; null if it does not load.</param>
/// <param name="Fault">A sentence on why it does not load and what to do; null if it does.</param>
/// <param name="Packages">The packages of this Debian or Ubuntu release that are missing; empty if none would help, or on other systems.</param>
/// <param name="IsForThisSystem">False if there is no such library for this kind of machine yet.</param>
public sealed record VisionLibrary(string? Version, string? Fault, ImmutableArray<string> Packages, bool IsForThisSystem)
{
    /// <summary>What to do by hand if nothing can be searched for.</summary>
    private const string ByHand = "Mark regions (--region) or the chart's corners in both pictures (--primary-chart, --secondary-chart) instead, or compare whole pictures (--method overall).";

    /// <summary>
    /// The libraries that the native file links to beyond those of .NET itself (its ELF section NEEDED), each with its
    /// Debian package; libgtk includes pango, cairo, glib, harfbuzz, freetype and libX11. Since Debian 13 and Ubuntu
    /// 24.04 some packages have other names (for 64-bit time).
    /// </summary>
    internal static ImmutableArray<(string Library, string Package, string NewerPackage)> LinksTo { get; } =
    [
        ("libgtk-3.so.0", "libgtk-3-0", "libgtk-3-0t64"),
        ("libatomic.so.1", "libatomic1", "libatomic1"),
        ("libdrm.so.2", "libdrm2", "libdrm2"),
    ];

    /// <summary>The state on a kind of machine without a native library.</summary>
    internal static VisionLibrary NotForThisSystem { get; } = new(
        null, $"Charts and things that both cameras saw are not found on this kind of machine yet (only on Linux with an x64 processor). {ByHand}", [], IsForThisSystem: false);

    /// <summary>The state if it loads.</summary>
    internal static VisionLibrary Whole(string version) => new(version, null, [], IsForThisSystem: true);

    /// <summary>The state if it does not load.</summary>
    /// <param name="missing">Those of <see cref="LinksTo"/> that do not load either; empty if the file itself is missing or damaged.</param>
    /// <param name="osRelease">The text of /etc/os-release.</param>
    internal static VisionLibrary Broken(ImmutableArray<(string Library, string Package, string NewerPackage)> missing, string osRelease)
    {
        if (missing.IsEmpty)
        {
            return new(null, $"The vision library (libOpenCvSharpExtern.so) is missing beside the program or does not fit this system, so charts and things that both cameras saw cannot be found. Build the program again (./run build). {ByHand}", [], IsForThisSystem: true);
        }

        string libraries = string.Join(", ", missing.Select(m => m.Library));
        string cannot = $"The vision library lacks {libraries}, so charts and things that both cameras saw cannot be found.";
        if (!IsDebianLike(osRelease))
        {
            return new(null, $"{cannot} Install the package of {(missing.Length == 1 ? "it" : "them")} with your system's package manager (on Debian: {string.Join(' ', missing.Select(m => m.Package))}). {ByHand}", [], IsForThisSystem: true);
        }

        string[] packages = [.. missing.Select(m => HasNewerNames(osRelease) ? m.NewerPackage : m.Package)];
        return new(null, $"{cannot} Install {string.Join(' ', packages)} (apt-get install {string.Join(' ', packages)}). {ByHand}", [.. packages], IsForThisSystem: true);
    }

    private static bool IsDebianLike(string osRelease) =>
        $"{Field(osRelease, "ID")} {Field(osRelease, "ID_LIKE")}".Split(' ') is var words && (words.Contains("debian") || words.Contains("ubuntu"));

    // Debian testing and unstable state no version.
    private static bool HasNewerNames(string osRelease)
    {
        string id = Field(osRelease, "ID");
        return double.TryParse(Field(osRelease, "VERSION_ID"), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double version)
            ? (id == "debian" && version >= 13) || (id == "ubuntu" && version >= 24.04)
            : id == "debian";
    }

    private static string Field(string osRelease, string name) => osRelease.Split('\n')
        .FirstOrDefault(line => line.StartsWith(name + "=", StringComparison.Ordinal))?[(name.Length + 1)..].Trim().Trim('"', '\'') ?? "";
}
