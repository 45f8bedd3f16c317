using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Media.Files;
using Tonematch.Media.Processes;
using Tonematch.Vision;

namespace Tonematch.Cli.Commands;

/// <summary>One part that the job needs.</summary>
/// <param name="Name">Its name, in a word or two.</param>
/// <param name="IsHere">Whether it is present and usable.</param>
/// <param name="Text">What was found, or what is missing.</param>
internal sealed record SelfcheckPart(string Name, bool IsHere, string Text);

/// <summary>The findings on a machine, in words.</summary>
/// <param name="IsWhole">Whether nothing is missing.</param>
/// <param name="Parts">Everything that was checked.</param>
/// <param name="Remedy">The one command that installs what is missing; null if nothing is missing, or no command would help.</param>
internal sealed record SelfcheckReport(bool IsWhole, ImmutableArray<SelfcheckPart> Parts, string? Remedy)
{
    /// <summary>Puts findings into words.</summary>
    /// <param name="ffmpeg">The findings about FFmpeg.</param>
    /// <param name="vision">The vision library.</param>
    /// <param name="temporary">The temporary folder.</param>
    /// <param name="system">How programs are installed here.</param>
    public static SelfcheckReport Of(FfmpegFindings ffmpeg, VisionLibrary vision, TemporaryFolder temporary, PackageSystem system)
    {
        ImmutableArray<SelfcheckPart> parts =
        [
            .. FfmpegParts(ffmpeg),
            new("vision library", vision.Fault is null, vision.Fault ?? $"OpenCV {vision.Version}: charts and things that both cameras saw are found"),
            new("temporary folder", temporary.Fault is null, temporary.Fault ?? $"{temporary.FullPath}, {FreeSpace(temporary)}"),
        ];
        return new(parts.All(p => p.IsHere), parts, Command([.. ffmpeg.IsWhole ? (string[])[] : ["ffmpeg"], .. vision.Packages], system));
    }

    private static IEnumerable<SelfcheckPart> FfmpegParts(FfmpegFindings ffmpeg)
    {
        if (ffmpeg.Fault is { } fault)
        {
            yield return new("FFmpeg", false, fault);
            yield break;
        }

        yield return new("FFmpeg", !ffmpeg.IsTooOld, ffmpeg.IsTooOld
            ? $"{ffmpeg.Version} at {ffmpeg.FfmpegPath} is too old: 4.4 or newer is needed."
            : $"{ffmpeg.Version}, {ffmpeg.FfmpegPath} and {ffmpeg.FfprobePath}");
        yield return Part("reading clips", ffmpeg.MissingForReading);
        yield return Part("writing clips", ffmpeg.MissingForWriting);

        static SelfcheckPart Part(string name, ImmutableArray<string> missing) => new(name, missing.IsEmpty, missing.IsEmpty
            ? "FFmpeg has every filter and encoder that is used"
            : $"this FFmpeg was built without {string.Join(", ", missing)}: install a more complete one.");
    }

    private static string FreeSpace(TemporaryFolder temporary) => temporary.FreeBytes is { } bytes
        ? string.Create(CultureInfo.InvariantCulture, $"{bytes / 1e9:0.0} GB free")
        : "free space not known";

    private static string? Command(ImmutableArray<string> packages, PackageSystem system) => packages.IsEmpty ? null : system switch
    {
        PackageSystem.AptAsRoot => $"apt-get install -y {string.Join(' ', packages)}",
        PackageSystem.Apt => $"sudo apt-get install -y {string.Join(' ', packages)}",
        PackageSystem.Brew => $"brew install {string.Join(' ', packages)}",
        PackageSystem.Winget => $"winget install {string.Join(' ', packages)}",
        _ => null,
    };
}
