using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// A parametric correction plus small offsets of code values on a grid over the secondary's code values 0..1,
/// interpolated linearly between the eight surrounding nodes (outside 0..1, the grid's edge).
/// </summary>
public sealed record LatticeCorrection : Correction
{
    private readonly ImmutableArray<float> _offsets;

    /// <summary>Makes the correction.</summary>
    /// <param name="parametric">The correction below the grid.</param>
    /// <param name="size">Nodes per side, 2..129.</param>
    /// <param name="offsets">3 x size^3 finite offsets, r g b of each node, red fastest.</param>
    /// <exception cref="ArgumentException">The size, the length or an offset is not allowed.</exception>
    public LatticeCorrection(Correction parametric, int size, ImmutableArray<float> offsets)
        : base((parametric ?? throw new ArgumentNullException(nameof(parametric))).SecondaryEncoding, parametric.PrimaryEncoding)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(size, 2);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(size, 129);
        if (offsets.IsDefault || offsets.Length != 3 * size * size * size || offsets.Any(o => !float.IsFinite(o)))
        {
            throw new ArgumentException($"A grid of {size} nodes per side needs {3 * size * size * size} finite offsets.", nameof(offsets));
        }

        (Parametric, Size, _offsets) = (parametric, size, offsets);
    }

    /// <summary>The correction below the grid.</summary>
    public Correction Parametric { get; }

    /// <summary>Nodes per side.</summary>
    public int Size { get; }

    /// <summary>Offsets of code values, r g b of each node, red fastest: node (i, j, k) starts at 3 * (i + Size * (j + Size * k)).</summary>
    public ReadOnlySpan<float> Offsets => _offsets.AsSpan();

    /// <summary>
    /// The kind whose values the grid holds: the lattice itself, or a kind whose steep places were removed.
    /// </summary>
    public CorrectionKind Holds { get; init; } = CorrectionKind.Lattice;

    /// <inheritdoc/>
    public override CorrectionKind Kind => Holds;

    /// <inheritdoc/>
    public override IReadOnlyList<(string Name, double Value)> Numbers => [("nodes", Size), .. Parametric.Numbers];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary)
    {
        CodeRgb below = Parametric.Apply(secondary);
        if (!secondary.IsFinite)
        {
            return below;
        }

        (int i, double x) = Cell(secondary.R);
        (int j, double y) = Cell(secondary.G);
        (int k, double z) = Cell(secondary.B);
        double r = 0, g = 0, b = 0;
        for (int corner = 0; corner < 8; corner++)
        {
            int di = corner & 1, dj = (corner >> 1) & 1, dk = corner >> 2;
            double w = (di == 1 ? x : 1 - x) * (dj == 1 ? y : 1 - y) * (dk == 1 ? z : 1 - z);
            int at = 3 * (i + di + (Size * (j + dj + (Size * (k + dk)))));
            r += w * _offsets[at];
            g += w * _offsets[at + 1];
            b += w * _offsets[at + 2];
        }

        return new CodeRgb(below.R + r, below.G + g, below.B + b);
    }

    private (int Node, double Fraction) Cell(double code)
    {
        double at = Math.Clamp(code, 0, 1) * (Size - 1);
        int node = Math.Min((int)at, Size - 2);
        return (node, at - node);
    }
}
