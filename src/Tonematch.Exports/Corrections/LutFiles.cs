using System.Globalization;
using Tonematch.Formats.Cdl;
using Tonematch.Formats.Clf;
using Tonematch.Formats.Cube;
using Tonematch.Formats.Inputs;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Frames;
using Tonematch.Pictures;

namespace Tonematch.Exports.Corrections;

/// <summary>Reads correction files given by users, in any supported open format.</summary>
public static class LutFiles
{
    // 129 nodes per side with long numbers take about 90 MB.
    private const long LargestBytes = 200_000_000;

    /// <summary>The supported file endings, for help texts and messages.</summary>
    public const string Endings = ".cube, .clf, .cc, .ccc, .cdl or .png (a Hald picture)";

    /// <summary>Reads a correction file as a function of code values.</summary>
    /// <param name="path">A .cube, .clf, .cc, .ccc or .cdl file, or a Hald picture (.png, .tif).</param>
    /// <param name="cancel">Stops the reading of a picture.</param>
    /// <exception cref="UnusableInputException">
    /// The ending is unknown, the file cannot be read or is malformed (the message names the line), or it holds more
    /// than one correction.
    /// </exception>
    public static async Task<CorrectionFile> ReadAsync(string path, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(path);
        switch (Path.GetExtension(path).ToLowerInvariant())
        {
            case ".cube":
                return Of(path, CubeFormat.Read(Text(path), path));
            case ".clf":
                ClfFile clf = ClfFormat.Read(Text(path), path);
                return new CorrectionFile(path, clf.Apply)
                {
                    Clf = clf,
                    Cdl = clf.Nodes is [ClfAscCdl { IsInverse: false, Clamps: true } only] ? only.Numbers : null,
                };
            case ".cc" or ".ccc" or ".cdl":
                IReadOnlyList<CdlNumbers> cdls = CdlFormat.Read(Text(path), path);
                return cdls.Count == 1
                    ? new CorrectionFile(path, code => cdls[0].Apply(code)) { Cdl = cdls[0] }
                    : throw new UnusableInputException(string.Create(CultureInfo.InvariantCulture,
                        $"{path} holds {cdls.Count} corrections, and it is not clear which one is meant. Give a file with only one."));
            case ".png" or ".tif" or ".tiff":
                return Of(path, new CubeFile(null, null, HaldPicture.ToLut(await PictureAsync(path, cancel), path)));
            default:
                throw new UnusableInputException($"{path} does not have an ending of a correction file; known are {Endings}.");
        }
    }

    /// <summary>Reads an input LUT, which converts a camera's recording to a known encoding.</summary>
    /// <param name="path">A .cube or .clf file.</param>
    /// <exception cref="UnusableInputException">The file is of another kind, cannot be read or is malformed (the message names the line).</exception>
    public static InputLut ReadInput(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        return Path.GetExtension(path).ToLowerInvariant() switch
        {
            ".cube" => new InputLut(path, CubeFormat.Read(Text(path), path)),
            ".clf" => new InputLut(path, ClfFormat.Read(Text(path), path)),
            _ => throw new UnusableInputException($"{path} cannot be used as an input LUT: give a .cube or .clf file."),
        };
    }

    private static CorrectionFile Of(string path, CubeFile cube) => new(path, code => cube.Apply(code)) { Cube = cube };

    // Pictures of unknown origin are decoded by FFmpeg in a separate process.
    private static async Task<Picture> PictureAsync(string path, CancellationToken cancel)
    {
        ClipInfo picture = await ClipProbe.ProbeAsync(path, cancel);
        const int largest = HaldPicture.MaxLevel * HaldPicture.MaxLevel * HaldPicture.MaxLevel;
        return picture.Width == picture.Height && picture.Width <= largest
            ? (await FrameReader.GrabAsync(picture, [0], cancel))[0].Picture
            : throw new UnusableInputException(string.Create(CultureInfo.InvariantCulture,
                $"{path} is not a Hald picture: it has {picture.Width} x {picture.Height} pixels, but a Hald picture is square with at most {largest} pixels per side."));
    }

    private static StringReader Text(string path) => new(TextInput.Read(path, "a correction", LargestBytes));
}
