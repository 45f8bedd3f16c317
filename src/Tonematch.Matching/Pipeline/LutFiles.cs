using System.Globalization;
using Tonematch.Colour;
using Tonematch.Formats;
using Tonematch.Formats.Clf;
using Tonematch.Luts;
using Tonematch.Media.Files;
using Tonematch.Pictures;

namespace Tonematch.Matching;

/// <summary>Reads correction files that users give, whatever open format they are in.</summary>
public static class LutFiles
{
    // 129 nodes a side with long numbers are about 90 MB.
    private const long LargestBytes = 200_000_000;

    /// <summary>A .cube file.</summary>
    /// <exception cref="UnusableInputException">It cannot be read, or is malformed: with the line.</exception>
    public static CubeFile ReadCube(string path) => CubeFormat.Read(Text(path), path);

    /// <summary>A .cube, .clf, .cc, .ccc or .cdl file as a function of code values.</summary>
    /// <exception cref="UnusableInputException">
    /// The ending is not known, the file cannot be read or is malformed (with the line), or holds more than one correction.
    /// </exception>
    public static CorrectionFile Read(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        switch (Path.GetExtension(path).ToLowerInvariant())
        {
            case ".cube":
                CubeFile cube = ReadCube(path);
                return new CorrectionFile(path, code => cube.Apply(code)) { Cube = cube };
            case ".clf":
                ClfFile clf = ClfFormat.Read(Text(path), path);
                return new CorrectionFile(path, clf.Apply) { Clf = clf };
            case ".cc" or ".ccc" or ".cdl":
                IReadOnlyList<CdlNumbers> cdls = CdlFormat.Read(Text(path), path);
                return cdls.Count == 1
                    ? new CorrectionFile(path, code => cdls[0].Apply(code)) { Cdl = cdls[0] }
                    : throw new UnusableInputException(string.Create(CultureInfo.InvariantCulture,
                        $"{path} holds {cdls.Count} corrections, and it is not clear which is meant. Give a file with one."));
            default:
                throw new UnusableInputException($"{path} has an ending that is not known for corrections: .cube, .clf, .cc, .ccc and .cdl are.");
        }
    }

    /// <summary>
    /// Writes a correction in the format of the path's ending (.cube, .clf, or .png for a Hald picture), reads it back, and says how far what was
    /// read is from the original.
    /// </summary>
    /// <param name="from">The correction.</param>
    /// <param name="path">Where to.</param>
    /// <param name="size">Nodes a side when it must be baked into a table.</param>
    /// <param name="outputEncoding">What the code values that come out mean.</param>
    /// <param name="force">Whether a file that exists may be replaced.</param>
    /// <exception cref="UnusableInputException">The format is not written, or the file cannot be.</exception>
    public static LutDifference Convert(CorrectionFile from, string path, int size, SignalEncoding outputEncoding, bool force)
    {
        ArgumentNullException.ThrowIfNull(from);
        ArgumentNullException.ThrowIfNull(path);
        string title = $"{ProgramVersion.Text}, converted from {System.IO.Path.GetFileName(from.Path)}";
        StringWriter text = new(CultureInfo.InvariantCulture);
        Func<CodeRgb, CodeRgb> back;
        switch (System.IO.Path.GetExtension(path).ToLowerInvariant())
        {
            case ".png":
                Picture hald = HaldPicture.FromLut(from.ToLut(size), outputEncoding);
                PngFile.Write(path, hald, 16, force);
                Lut3D read = HaldPicture.ToLut(PngFile.ReadOwn(path, outputEncoding), path);
                return LutComparison.Compare(from.Apply, code => LutInterpolation.Tetrahedral(read, code), outputEncoding, read.Size);
            case ".cube":
                CubeFormat.Write(text, from.ToLut(size), title);
                CubeFile cube = CubeFormat.Read(new StringReader(text.ToString()), path);
                back = code => cube.Apply(code);
                break;
            case ".clf":
                ClfFormat.Write(text, from.Clf ?? new ClfFile([from.Cdl is { } cdl ? new ClfAscCdl(cdl) : new ClfLut3D(from.ToLut(size))]) { Id = "tonematch", Name = title });
                back = ClfFormat.Read(new StringReader(text.ToString()), path).Apply;
                break;
            default:
                throw new UnusableInputException($"{path} has an ending that is not written: .cube, .clf and .png (Hald picture) are.");
        }

        LutDifference difference = LutComparison.Compare(from.Apply, back, outputEncoding, Math.Max(size, Lut3D.MinSize));
        AtomicFile.WriteText(path, force, w => w.Write(text.ToString()), from.Path);
        return difference;
    }

    private static StringReader Text(string path) => new(TextInput.Read(path, "a correction", LargestBytes));
}

/// <summary>A correction read from a file.</summary>
/// <param name="Path">The file.</param>
/// <param name="Apply">Secondary code values in, primary-like code values out.</param>
public sealed record CorrectionFile(string Path, Func<CodeRgb, CodeRgb> Apply)
{
    /// <summary>What the file holds, if it is a .cube.</summary>
    public CubeFile? Cube { get; init; }

    /// <summary>What the file holds, if it is a .clf.</summary>
    public ClfFile? Clf { get; init; }

    /// <summary>What the file holds, if it is an ASC CDL.</summary>
    public CdlNumbers? Cdl { get; init; }

    /// <summary>The correction as one 3D table: the file's own where it is just that, else baked.</summary>
    /// <param name="size">Nodes a side when it must be baked.</param>
    public Lut3D ToLut(int size = LutBaker.DefaultSize) =>
        Cube is { Shaper: null, Table: { } table } ? table : Lut3D.FromFunction(size, Apply);
}
