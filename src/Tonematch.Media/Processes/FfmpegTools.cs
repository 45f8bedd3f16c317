using FFMpegCore;

namespace Tonematch.Media.Processes;

/// <summary>Locates the two programs. A folder set through FFMpegCore's global options comes before PATH.</summary>
internal static class FfmpegTools
{
    private static readonly Lock s_lock = new();
    private static readonly Dictionary<string, string> s_found = [];

    public static string Ffmpeg => Locate("ffmpeg");

    public static string Ffprobe => Locate("ffprobe");

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

            // The full path is looked up here and not by the system, which on Windows would first search the current
            // folder.
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
                + "Windows: winget install ffmpeg) and make sure that its folder is in PATH.");
        }
    }
}
