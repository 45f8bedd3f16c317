using Tonematch.Colour;
using Tonematch.Luts.Tables;

namespace Tonematch.Formats.Cube;

/// <summary>The content of a .cube file: a 1D table, a 3D table, or a 1D table in front of a 3D one.</summary>
public sealed record CubeFile
{
    /// <summary>Makes the content of a file.</summary>
    /// <exception cref="ArgumentException">Neither table is given.</exception>
    public CubeFile(string? title, Lut1D? shaper, Lut3D? table)
    {
        if (shaper is null && table is null)
        {
            throw new ArgumentException("A .cube file holds at least one table.", nameof(table));
        }

        (Title, Shaper, Table) = (title, shaper, table);
    }

    /// <summary>The title, without quotation marks.</summary>
    public string? Title { get; }

    /// <summary>The 1D table, applied first.</summary>
    public Lut1D? Shaper { get; }

    /// <summary>The 3D table, applied to the 1D table's output.</summary>
    public Lut3D? Table { get; }

    /// <summary>
    /// Applies the whole file to one colour. Always finite: input outside a domain is clamped to its edge.
    /// </summary>
    public CodeRgb Apply(CodeRgb code, LutMethod method = LutMethod.Tetrahedral)
    {
        CodeRgb shaped = Shaper is null ? code : LutInterpolation.Linear(Shaper, code);
        return Table is null ? shaped : LutInterpolation.Apply(Table, shaped, method);
    }
}
