using Tonematch.Colour;
using Tonematch.Formats.Cdl;
using Tonematch.Formats.Clf;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;

namespace Tonematch.Exports.Corrections;

/// <summary>A correction read from a file.</summary>
/// <param name="Path">The file.</param>
/// <param name="Apply">Maps secondary code values to primary-like code values.</param>
public sealed record CorrectionFile(string Path, Func<CodeRgb, CodeRgb> Apply)
{
    /// <summary>The end of the title in files that include camera B's input LUT.</summary>
    internal const string WithInput = ", input LUT included";

    /// <summary>
    /// Whether the file states that it includes the camera's input LUT and therefore applies to the clip as recorded.
    /// </summary>
    public bool HoldsInput => (Cube?.Title ?? Clf?.Name)?.EndsWith(WithInput, StringComparison.Ordinal) ?? false;

    /// <summary>The content of a .cube or a Hald picture, else null.</summary>
    public CubeFile? Cube { get; init; }

    /// <summary>The content of a .clf, else null.</summary>
    public ClfFile? Clf { get; init; }

    /// <summary>
    /// The ten numbers, if the file is an ASC CDL, or a .clf with nothing else in it.
    /// </summary>
    public CdlNumbers? Cdl { get; init; }

    /// <summary>Nodes per side of the file's 3D table, if it holds nothing else.</summary>
    public int? Nodes => Cube is { Shaper: null, Table: { } table } ? table.Size : null;

    /// <summary>The correction as one 3D table: the file's own if it holds nothing else, otherwise baked.</summary>
    /// <param name="size">Nodes per side if it must be baked.</param>
    public Lut3D ToLut(int size = LutBaker.DefaultSize) =>
        Cube is { Shaper: null, Table: { } table } ? table : Lut3D.FromFunction(size, Apply);
}
