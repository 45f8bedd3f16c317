using System.Globalization;
using System.Text.Json;
using Tonematch.Media.Processes;

namespace Tonematch.Media.Clips;

/// <summary>Static HDR metadata: the mastering display and the content light level, as used by players.</summary>
/// <param name="Display">
/// Mastering display colour volume (SMPTE ST 2086) in the integers of H.265 annex D: chromaticities in 1/50000,
/// luminances in 1/10000 cd/m2; written 'G(x,y)B(x,y)R(x,y)WP(x,y)L(max,min)'. Null if the clip does not state it.
/// </param>
/// <param name="LightLevel">Largest content light and frame average level in cd/m2 (CTA-861.3), 'max,average'; or null.</param>
internal sealed record MasteringFigures(string? Display, string? LightLevel)
{
    private const int ChromaticityUnits = 50_000, LuminanceUnits = 10_000;

    /// <summary>Reads them from the first frame; null for a clip without them, or that is not HDR.</summary>
    public static async Task<MasteringFigures?> ReadAsync(ClipInfo clip, CancellationToken cancel)
    {
        if (clip.Transfer?.Code is not (H273.TransferPq or H273.TransferHlg))
        {
            return null;
        }

        (int code, string json, _) = await FfmpegProcess.RunAsync(
            FfmpegTools.Ffprobe,
            [
                "-v", "error", .. clip.Input.OpenWith(), "-select_streams", clip.StreamIndex.ToString(CultureInfo.InvariantCulture),
                "-read_intervals", "%+#1", "-show_frames", "-of", "json",
            ],
            cancel).ConfigureAwait(false);
        return code == 0 ? Parse(json) : null;
    }

    private static MasteringFigures? Parse(string json)
    {
        string? display = null, light = null;
        try
        {
            using JsonDocument document = JsonDocument.Parse(json);
            foreach (JsonElement data in document.RootElement.GetProperty("frames").EnumerateArray().Take(1)
                .SelectMany(f => f.TryGetProperty("side_data_list", out JsonElement list) ? list.EnumerateArray() : default))
            {
                switch (data.TryGetProperty("side_data_type", out JsonElement type) ? type.GetString() : null)
                {
                    case "Mastering display metadata":
                        long C(string name) => Scaled(data, name, ChromaticityUnits);
                        long L(string name) => Scaled(data, name, LuminanceUnits);
                        display = string.Create(
                            CultureInfo.InvariantCulture,
                            $"G({C("green_x")},{C("green_y")})B({C("blue_x")},{C("blue_y")})R({C("red_x")},{C("red_y")})WP({C("white_point_x")},{C("white_point_y")})L({L("max_luminance")},{L("min_luminance")})");
                        break;
                    case "Content light level metadata":
                        light = string.Create(CultureInfo.InvariantCulture, $"{data.GetProperty("max_content").GetInt32()},{data.GetProperty("max_average").GetInt32()}");
                        break;
                    default:
                        break;
                }
            }
        }
        catch (Exception e) when (e is JsonException or KeyNotFoundException or FormatException or InvalidOperationException or OverflowException)
        {
            // An incomplete block cannot be written again.
        }

        return display is null && light is null ? null : new MasteringFigures(display, light);
    }

    private static long Scaled(JsonElement data, string name, int units)
    {
        string[] parts = (data.GetProperty(name).GetString() ?? "").Split('/');
        double value = double.Parse(parts[0], CultureInfo.InvariantCulture) / (parts.Length > 1 ? double.Parse(parts[1], CultureInfo.InvariantCulture) : 1);
        return checked((long)Math.Round(value * units));
    }
}
