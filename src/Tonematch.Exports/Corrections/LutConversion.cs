using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Formats.Cdl;
using Tonematch.Formats.Clf;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Matching.Words;
using Tonematch.Media.Files;
using Tonematch.Pictures;

namespace Tonematch.Exports.Corrections;

/// <summary>
/// Writes a correction in another open format, reads it back before it counts as written, and states what the format
/// loses.
/// </summary>
public static class LutConversion
{
    // Linear interpolation between this many entries is within 1e-5 of a power curve, except in the deepest blacks.
    private const int CurveEntries = 4096;

    // A table with a curve in front needs more nodes to become a single table.
    private const int NodesForShaped = 65;

    /// <summary>Converts to the format given by the path's extension.</summary>
    /// <param name="from">The correction.</param>
    /// <param name="path">The destination: .cube, .clf, .cc, .ccc, .cdl, or .png for a Hald picture.</param>
    /// <param name="size">Nodes per side if a table is written; null keeps the file's own number, else 33.</param>
    /// <param name="curves">Three curves (a 1D table: the correction's effect on greys) instead of a 3D table.</param>
    /// <param name="outputEncoding">The encoding of the output code values.</param>
    /// <param name="force">Whether an existing file may be replaced.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="UnusableInputException">The format is not supported or cannot hold curves, or the file cannot be written.</exception>
    public static ConvertedCorrection Convert(
        CorrectionFile from, string path, int? size, bool curves, SignalEncoding outputEncoding, bool force, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(from);
        ArgumentNullException.ThrowIfNull(path);
        ArgumentNullException.ThrowIfNull(outputEncoding);
        string title = $"{ProgramVersion.Text}, converted from {Path.GetFileName(from.Path)}";
        string ending = Path.GetExtension(path).ToLowerInvariant();
        if (curves && ending is not (".cube" or ".clf"))
        {
            throw new UnusableInputException($"Curves are written as .cube or .clf, not as '{ending}'.");
        }

        AtomicFile.Check(path, force, from.Path);
        return ending switch
        {
            ".cube" when curves => Cube(Curves(from), "As three curves"),
            ".cube" => Cube(new CubeFile(title, null, Table(from, size)), "As a 3D table"),
            ".clf" => Clf(),
            ".cc" => Cdl(CdlFileKind.Correction),
            ".ccc" => Cdl(CdlFileKind.Collection),
            ".cdl" => Cdl(CdlFileKind.DecisionList),
            ".png" => Hald(),
            _ => throw new UnusableInputException($"{path} has an ending that cannot be written; these can: {LutFiles.Endings}."),
        };

        ConvertedCorrection Cube(CubeFile file, string form) => Text(
            w =>
            {
                if (file.Table is { } table)
                {
                    CubeFormat.Write(w, table, title);
                }
                else
                {
                    CubeFormat.Write(w, file.Shaper!, title);
                }
            },
            text => Applied(CubeFormat.Read(text, path)),
            Applied(file), form);

        ConvertedCorrection Clf()
        {
            ClfFile file = from.Clf is { } own && !curves ? own : new ClfFile(Steps(from, size, curves)) { Id = "tonematch", Name = title };
            return Text(w => ClfFormat.Write(w, file), text => ClfFormat.Read(text, path).Apply, file.Apply, curves ? "As three curves" : "As CLF");
        }

        ConvertedCorrection Cdl(CdlFileKind kind)
        {
            NearestCdl? nearest = from.Cdl is null ? NearestCdl.Of(from.Apply, outputEncoding, cancel) : null;
            CdlNumbers numbers = (from.Cdl ?? nearest!.Numbers) with { Id = from.Cdl?.Id ?? "tonematch" };
            if (nearest is { Ordinary: var cost })
            {
                numbers = numbers with { Description = string.Create(CultureInfo.InvariantCulture, $"{title}. On code values ({outputEncoding.Name}); costs {cost.Mean:F2} Delta E on ordinary colours.") };
            }

            ConvertedCorrection done = Text(w => CdlFormat.Write(w, kind, numbers), text => Applied(CdlFormat.Read(text, path)[0]), Applied(numbers), "As a CDL");
            return nearest is null ? done : done with { Notes = [.. CostOf(nearest.Ordinary)] };
        }

        ConvertedCorrection Hald()
        {
            int level = size is { } asked ? Level(asked) : from.Nodes is { } own && Level(own) is var l && l * l == own ? l : HaldPicture.DefaultLevel;
            Lut3D lut = from.ToLut(level * level);
            Picture hald = HaldPicture.FromLut(lut, outputEncoding, level);
            byte[] bytes = PngFile.ToBytes(hald, 16);
            Lut3D read = HaldPicture.ToLut(PngFile.ReadOwn(new MemoryStream(bytes), path, outputEncoding), path);
            LimitedLut meant = LutBaker.LimitToUnitRange(HaldPicture.ToLut(hald, path));
            ReadBack.Check(path, c => LutInterpolation.Tetrahedral(meant.Lut, c), c => LutInterpolation.Tetrahedral(read, c), ReadBack.Of16Bits);
            AtomicFile.Write(path, force, stream => stream.Write(bytes), from.Path);
            LutDifference difference = Difference(c => LutInterpolation.Tetrahedral(read, c));
            ImmutableArray<string> notes = [difference.Cost("As a Hald picture")];
            return new ConvertedCorrection(difference, meant.LimitedNodes == 0 ? notes : notes.Add(string.Create(CultureInfo.InvariantCulture,
                $"{meant.LimitedNodes} of its {read.Size * read.Size * read.Size} nodes lie outside 0..1, by up to {meant.LargestExcess:F3}; a picture cannot hold that, so they were clipped.")));
        }

        ConvertedCorrection Text(Action<TextWriter> write, Func<TextReader, Func<CodeRgb, CodeRgb>> read, Func<CodeRgb, CodeRgb> meant, string form)
        {
            (string text, Func<CodeRgb, CodeRgb> back) = ReadBack.Text(path, write, read, meant);
            AtomicFile.WriteText(path, force, w => w.Write(text), from.Path);
            LutDifference difference = Difference(back);
            return new ConvertedCorrection(difference, [difference.Cost(form)]);
        }

        LutDifference Difference(Func<CodeRgb, CodeRgb> back) =>
            LutComparison.Compare(from.Apply, back, outputEncoding, Math.Clamp(from.Nodes ?? size ?? LutBaker.DefaultSize, Lut3D.MinSize, Lut3D.MaxSize));
    }

    // The file's own table if nothing else was requested; otherwise its function at new nodes.
    private static Lut3D Table(CorrectionFile from, int? size) =>
        size is null || size == from.Nodes
            ? from.ToLut(from.Cube is { Shaper: not null, Table: { } table } ? Math.Max(table.Size, NodesForShaped) : LutBaker.DefaultSize)
            : Lut3D.FromFunction(size.Value, from.Apply);

    private static CubeFile Curves(CorrectionFile from)
    {
        if (from.Cube is { Table: null, Shaper: { } own })
        {
            return new CubeFile(null, own, null);
        }

        float[] entries = new float[3 * CurveEntries];
        for (int i = 0; i < CurveEntries; i++)
        {
            CodeRgb grey = from.Apply(CodeRgb.Grey(i / (CurveEntries - 1.0)));
            (entries[3 * i], entries[(3 * i) + 1], entries[(3 * i) + 2]) = ((float)grey.R, (float)grey.G, (float)grey.B);
        }

        return new CubeFile(null, new Lut1D(CurveEntries, entries), null);
    }

    private static ImmutableArray<ClfNode> Steps(CorrectionFile from, int? size, bool curves)
    {
        if (curves || from.Cube is { Table: null })
        {
            return Curves(from).ToSteps();
        }

        if (from.Cdl is { } cdl)
        {
            return [new ClfAscCdl(cdl)];
        }

        return size is null && from.Cube is { } cube ? cube.ToSteps() : [new ClfLut3D(Lut3D.FromFunction(size ?? LutBaker.DefaultSize, from.Apply))];
    }

    // The level of the smallest picture that holds at least this many nodes per side.
    private static int Level(int nodes)
    {
        int level = HaldPicture.MinLevel;
        while (level * level < nodes && level < HaldPicture.MaxLevel)
        {
            level++;
        }

        return level;
    }

    private static Func<CodeRgb, CodeRgb> Applied(CubeFile file) => code => file.Apply(code);

    private static Func<CodeRgb, CodeRgb> Applied(CdlNumbers numbers) => code => numbers.Apply(code);

    private static IEnumerable<string> CostOf(DeltaEStatistics cost)
    {
        yield return string.Create(CultureInfo.InvariantCulture,
            $"As a CDL this correction costs {cost.Mean:F2} Delta E on average on ordinary colours ({DeltaEWords.Visible(cost.Mean)}), {cost.Max:F2} at most; strongly saturated ones can be further off.");
        const double worthAWord = 0.3;
        if (cost.Mean >= worthAWord)
        {
            yield return "Ten numbers cannot hold all that a table can: take .cube or .clf where they are accepted.";
        }
    }
}
