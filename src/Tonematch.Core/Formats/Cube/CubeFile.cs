using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Formats.Clf;
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

    /// <summary>The same as CLF steps: each table, preceded by a mapping of its domain to 0..1 if needed.</summary>
    public ImmutableArray<ClfNode> ToSteps() =>
    [
        .. Shaper is { } s ? [.. Domain(s.DomainMin, s.DomainMax), new ClfLut1D(s.Entries.ToArray())] : Array.Empty<ClfNode>(),
        .. Table is { } t ? [.. Domain(t.DomainMin, t.DomainMax), new ClfLut3D(new Lut3D(t.Size, t.Nodes.ToArray()))] : Array.Empty<ClfNode>(),
    ];

    private static IEnumerable<ClfNode> Domain(CodeRgb min, CodeRgb max)
    {
        if (min != CodeRgb.Grey(0) || max != CodeRgb.Grey(1))
        {
            double r = 1 / (max.R - min.R), g = 1 / (max.G - min.G), b = 1 / (max.B - min.B);
            yield return new ClfMatrix(Matrix3.Diagonal(r, g, b), new CodeRgb(-min.R * r, -min.G * g, -min.B * b)) { Description = "the table's domain to 0..1" };
        }
    }
}
