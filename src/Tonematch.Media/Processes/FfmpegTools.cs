using FFMpegCore;

namespace Tonematch.Media.Processes;

/// <summary>Where the two programs are. A folder set through FFMpegCore's global options comes before PATH.</summary>
internal static class FfmpegTools
{
    private static readonly Lock s_lock = new();
    private static readonly Dictionary<string, string> s_found = [];

    /// <summary>
    /// The version text of the FFmpeg in use ('5.1.9'), known once a clip was probed (ffprobe tells it at no cost).
    /// </summary>
    public static string? Version { get; set; }

    public static string Ffmpeg => Locate("ffmpeg");

    public static string Ffprobe => Locate("ffprobe");

    /// <summary>
    /// The option that passes every frame on with its own time. It was renamed in 5.1; the old name still works in
    /// 6 and 7, so the new one is used only where the version is known to have it.
    /// </summary>
    public static string[] PassEveryFrame => VersionIsBelow(Version, 5, 1) ? ["-vsync", "passthrough"] : ["-fps_mode", "passthrough"];

    internal static bool VersionIsBelow(string? version, int major, int minor)
    {
        // Builds from a repository are called N-12345-gabcdef: taken for new.
        string[] parts = (version ?? "").TrimStart('n').Split('.', '-', '+');
        return int.TryParse(parts[0], out int foundMajor)
            && (foundMajor < major
                || (foundMajor == major && parts.Length > 1 && int.TryParse(parts[1], out int foundMinor) && foundMinor < minor));
    }

    private static string Locate(string program)
    {
        lock (s_lock)
        {
            string folder = GlobalFFOptions.Current.BinaryFolder;
            string key = folder + "\n" + program;
            if (s_found.TryGetValue(key, out string? path))
            {
                return path;
            }

            // The full path is looked up here and not left to the system, which on Windows would first look into
            // the folder the user stands in.
            string file = OperatingSystem.IsWindows() ? program + ".exe" : program;
            string configured = program == "ffmpeg" ? GlobalFFOptions.GetFFMpegBinaryPath() : GlobalFFOptions.GetFFProbeBinaryPath();
            IEnumerable<string> candidates = string.IsNullOrEmpty(folder)
                ? (Environment.GetEnvironmentVariable("PATH") ?? "")
                    .Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries)
                    .Where(Path.IsPathFullyQualified)
                    .Select(d => Path.Combine(d, file))
                : [configured, Path.Combine(folder, file)];
            foreach (string candidate in candidates)
            {
                if (File.Exists(candidate))
                {
                    return s_found[key] = Path.GetFullPath(candidate);
                }
            }

            throw new UnusableInputException(
                $"The program {program} was not found. Install FFmpeg (Debian, Ubuntu: apt-get install ffmpeg; macOS: brew install ffmpeg; "
                + "Windows: winget install ffmpeg) and see that its folder is in PATH.");
        }
    }
}
