using System.Globalization;
using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>The colour tags that a file must have (code points of H.273).</summary>
/// <param name="Range">Which codes are black and white.</param>
/// <param name="Matrix">Matrix coefficients.</param>
/// <param name="Primaries">Colour primaries.</param>
/// <param name="Transfer">Transfer characteristics.</param>
/// <param name="ChromaLocation">The position of chroma samples; null if the file need not state it.</param>
internal sealed record WrittenTags(SignalRange Range, int Matrix, int Primaries, int Transfer, ChromaLocation? ChromaLocation)
{
    /// <summary>The tags of a format; codecs with chroma in every row do not store its position.</summary>
    public static WrittenTags Of(OutputFormat format) => new(
        format.Range, format.Matrix, format.Primaries, format.Transfer,
        format.PixelFormat.Contains("420", StringComparison.Ordinal) ? format.ChromaLocation : null);

    /// <summary>
    /// Compares a written file, read back, with its intended tags: with wrong tags a player shows wrong colours.
    /// </summary>
    /// <param name="written">The file, read back.</param>
    /// <param name="wanted">The intended tags.</param>
    /// <param name="path">Its name for the message.</param>
    /// <exception cref="UnusableInputException">They differ; the message says where.</exception>
    public static void Require(ClipInfo written, WrittenTags wanted, string path)
    {
        List<string> wrong = [];
        Compare("range", wanted.Range, written.Range);
        Compare("matrix", wanted.Matrix, written.Matrix.Code);
        Compare("primaries", wanted.Primaries, written.Primaries?.Code);
        Compare("transfer curve", wanted.Transfer, written.Transfer?.Code);
        Compare("place of chroma samples", wanted.ChromaLocation ?? written.ChromaLocation, written.ChromaLocation);
        if (wrong.Count > 0)
        {
            throw new UnusableInputException(
                $"'{path}' was not kept: this FFmpeg ({written.Ffmpeg.Version}) wrote wrong colour tags ({string.Join("; ", wrong)}), so players would show wrong colours. Please report it.");
        }

        void Compare<T>(string name, T wantedValue, T? found)
        {
            if (!Equals(wantedValue, found))
            {
                wrong.Add(string.Create(CultureInfo.InvariantCulture, $"{name} {(object?)found ?? "missing"} instead of {wantedValue}"));
            }
        }
    }
}
