using System.Globalization;
using System.Text;

namespace Tonematch.Testing;

/// <summary>
/// What FFmpeg's versions spell differently when a test makes a clip: asked of FFmpeg's own help and not of its version,
/// so that the tests do not repeat what the program believes.
/// </summary>
public static class FfmpegSpelling
{
    /// <summary>The filter that tags every frame as BT.709 in limited range: see <see cref="Tags"/>.</summary>
    public const string TagsBt709 = "setparams=range=tv:color_primaries=bt709:color_trc=bt709:colorspace=bt709";

    private static readonly Lazy<string> s_help = new(() => Encoding.UTF8.GetString(ExternalTool.Ffmpeg().Run(["-hide_banner", "-h", "full"])));

    /// <summary>Options that write every frame with its own time.</summary>
    public static string[] PassEveryFrame => [Has("-fps_mode") ? "-fps_mode" : "-vsync", "passthrough"];

    /// <summary>A filter that tags every frame; encoders' options alone lose primaries and transfer from FFmpeg 7 on.</summary>
    /// <param name="matrix">Matrix in FFmpeg's words, 'bt709'.</param>
    /// <param name="primaries">Primaries, 'bt709'.</param>
    /// <param name="transfer">Transfer, 'bt709'.</param>
    /// <param name="range">'tv' or 'pc'.</param>
    public static string Tags(string matrix, string primaries, string transfer, string range = "tv") =>
        $"setparams=range={range}:color_primaries={primaries}:color_trc={transfer}:colorspace={matrix}";

    /// <summary>Copies a clip without encoding and tags it to be turned when it is shown.</summary>
    /// <param name="from">The clip.</param>
    /// <param name="degrees">Anticlockwise.</param>
    /// <param name="to">The copy.</param>
    public static void CopyTurned(string from, int degrees, string to)
    {
        string angle = degrees.ToString(CultureInfo.InvariantCulture);
        bool isOption = Has("-display_rotation");
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", .. isOption ? ["-display_rotation", angle] : (string[])[], "-i", "file:" + from, "-map", "0", "-map_metadata", "0", "-c", "copy",
                .. isOption ? (string[])[] : ["-metadata:s:v:0", "rotate=" + angle], "file:" + to,
            ]);
    }

    private static bool Has(string option) => s_help.Value.Contains("\n" + option, StringComparison.Ordinal);
}
