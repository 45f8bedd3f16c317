using System.Collections.Concurrent;
using System.Collections.Frozen;
using System.Globalization;
using Tonematch.Media.Clips;

namespace Tonematch.Media.Processes;

/// <summary>
/// The capabilities of an FFmpeg, as far as its versions differ in features used here. Queried once and cached; options
/// that were renamed between versions appear only here.
/// </summary>
/// <param name="Version">The version as the program states it: '5.1.9-0+deb12u1', or 'N-110000-gabcdef' for a build from its repository.</param>
/// <param name="Filters">The names of its filters.</param>
public sealed record FfmpegCapabilities(string Version, FrozenSet<string> Filters)
{
    private static readonly ConcurrentDictionary<string, Task<FfmpegCapabilities>> s_asked = new();

    /// <summary>
    /// The option that passes on every frame with its own time. '-vsync' was renamed in 5.1 (FFmpeg's Changelog) and is
    /// gone in 9.
    /// </summary>
    internal IReadOnlyList<string> PassEveryFrame => [FrameMode, "passthrough"];

    /// <summary>
    /// The options for a constant frame rate, needed for the interleaved frames of two cameras, which carry no rate.
    /// From version 7 on, a rate together with per-frame times is refused.
    /// </summary>
    internal IReadOnlyList<string> ConstantRate(Rational rate) => [FrameMode, "cfr", "-r", rate.ToString()];

    private string FrameMode => IsBefore(5, 1) ? "-vsync" : "-fps_mode";

    /// <summary>
    /// Whether this is an older version. Builds from the repository have no version number and count as new.
    /// </summary>
    /// <param name="major">Major version, e.g. 5.</param>
    /// <param name="minor">Minor version, e.g. 1.</param>
    internal bool IsBefore(int major, int minor)
    {
        string[] parts = Version.TrimStart('n').Split('.', '-', '+');
        return int.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out int ownMajor)
            && (ownMajor < major
                || (ownMajor == major && parts.Length > 1
                    && int.TryParse(parts[1], NumberStyles.None, CultureInfo.InvariantCulture, out int ownMinor) && ownMinor < minor));
    }

    /// <summary>Queries the FFmpeg in use; a second call is free.</summary>
    /// <exception cref="UnusableInputException">It is not installed, or does not run.</exception>
    internal static async Task<FfmpegCapabilities> ReadAsync(CancellationToken cancel)
    {
        string program = FfmpegTools.Ffmpeg;

        // Several clips are probed at once and share one query, which the cancellation of a single caller must not
        // abort.
        Task<FfmpegCapabilities> asked = s_asked.GetOrAdd(program, AskAsync);
        try
        {
            return await asked.WaitAsync(cancel).ConfigureAwait(false);
        }
        catch (UnusableInputException)
        {
            s_asked.TryRemove(new(program, asked));
            throw;
        }
    }

    /// <summary>Reads the answer to 'ffmpeg -filters'.</summary>
    /// <param name="banner">The error channel; its first line states the version.</param>
    /// <param name="filters">The output: one line per filter, ' TSC scale  V->V  What it does'.</param>
    internal static FfmpegCapabilities Parse(string banner, string filters)
    {
        string[] words = banner.Split((char[])[' ', '\r', '\n'], StringSplitOptions.RemoveEmptyEntries);
        int version = Array.IndexOf(words, "version");
        return new FfmpegCapabilities(
            version >= 0 && version + 1 < words.Length ? words[version + 1] : "unknown",
            NamesIn(filters, kind => kind.Contains("->", StringComparison.Ordinal)));
    }

    /// <summary>The second word of each line whose third word is of the right kind.</summary>
    internal static FrozenSet<string> NamesIn(string list, Func<string, bool> thirdWord) => list.Split('\n')
        .Select(line => line.Split((char[])[' ', '\r'], StringSplitOptions.RemoveEmptyEntries))
        .Where(words => words.Length > 2 && thirdWord(words[2]))
        .Select(words => words[1])
        .ToFrozenSet(StringComparer.Ordinal);

    private static async Task<FfmpegCapabilities> AskAsync(string program)
    {
        (int code, string filters, string banner) = await FfmpegProcess.RunAsync(program, ["-filters"], CancellationToken.None, maxCharacters: 1_000_000).ConfigureAwait(false);
        return code == 0
            ? Parse(banner, filters)
            : throw new UnusableInputException($"{program} does not run (it ended with {code}). Install FFmpeg again.");
    }
}
