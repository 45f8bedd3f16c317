using Tonematch.Colour;

namespace Tonematch.Luts.Tables;

/// <summary>
/// A 3D lookup table: <see cref="Size"/> nodes per side, equally spaced from <see cref="DomainMin"/> to
/// <see cref="DomainMax"/>; three floats per node, red fastest (the order of .cube files).
/// </summary>
public sealed class Lut3D
{
    private readonly float[] _nodes;

    /// <summary>Takes ownership of the node values; the caller must not change them afterwards.</summary>
    /// <param name="size">Nodes per side, 2..129.</param>
    /// <param name="nodes">3 x size^3 finite values, r g b of each node, red fastest.</param>
    /// <param name="domainMin">Input that maps to the first node; 0 by default.</param>
    /// <param name="domainMax">Input that maps to the last node; 1 by default. Above the minimum in each channel.</param>
    /// <exception cref="ArgumentException">Size, length, domain or a value is not allowed.</exception>
    public Lut3D(int size, float[] nodes, CodeRgb? domainMin = null, CodeRgb? domainMax = null)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(size, MinSize);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(size, MaxSize);
        ArgumentNullException.ThrowIfNull(nodes);
        if (nodes.Length != 3 * size * size * size)
        {
            throw new ArgumentException($"A LUT of {size} nodes per side has {3 * size * size * size} values, not {nodes.Length}.", nameof(nodes));
        }

        if (nodes.AsSpan().ContainsAnyExceptInRange(float.MinValue, float.MaxValue))
        {
            throw new ArgumentException("A node's value is not a finite number.", nameof(nodes));
        }

        DomainMin = domainMin ?? CodeRgb.Grey(0);
        DomainMax = domainMax ?? CodeRgb.Grey(1);
        if (!(DomainMax.R > DomainMin.R && DomainMax.G > DomainMin.G && DomainMax.B > DomainMin.B))
        {
            throw new ArgumentException("The domain's maximum must be above its minimum in each channel.", nameof(domainMax));
        }

        (Size, _nodes) = (size, nodes);
    }

    /// <summary>Smallest allowed number of nodes per side.</summary>
    public const int MinSize = 2;

    /// <summary>Largest allowed number of nodes per side.</summary>
    public const int MaxSize = 129;

    /// <summary>Nodes per side.</summary>
    public int Size { get; }

    /// <summary>Input that maps to the first node of each channel.</summary>
    public CodeRgb DomainMin { get; }

    /// <summary>Input that maps to the last node of each channel.</summary>
    public CodeRgb DomainMax { get; }

    /// <summary>r g b of each node, red fastest: node (i, j, k) starts at 3 * (i + Size * (j + Size * k)).</summary>
    public ReadOnlySpan<float> Nodes => _nodes;

    /// <summary>The table that changes nothing inside 0..1.</summary>
    /// <param name="size">Nodes per side, 2..129.</param>
    public static Lut3D Identity(int size) => FromFunction(size, static c => c);

    /// <summary>A table over 0..1 whose nodes hold a function's values, rounded to float.</summary>
    /// <param name="size">Nodes per side, 2..129.</param>
    /// <param name="function">Maps code values to finite code values.</param>
    /// <exception cref="ArgumentException">The size is not allowed, or a value is not a finite float.</exception>
    public static Lut3D FromFunction(int size, Func<CodeRgb, CodeRgb> function)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(size, MinSize);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(size, MaxSize);
        ArgumentNullException.ThrowIfNull(function);
        float[] nodes = new float[3 * size * size * size];
        double last = size - 1;
        int n = 0;
        for (int k = 0; k < size; k++)
        {
            for (int j = 0; j < size; j++)
            {
                for (int i = 0; i < size; i++)
                {
                    CodeRgb value = function(new CodeRgb(i / last, j / last, k / last));
                    nodes[n++] = (float)value.R;
                    nodes[n++] = (float)value.G;
                    nodes[n++] = (float)value.B;
                }
            }
        }

        return new Lut3D(size, nodes);
    }

    /// <summary>The value of node (i, j, k): i counts along red, j along green, k along blue.</summary>
    public CodeRgb Node(int i, int j, int k)
    {
        int n = 3 * (i + (Size * (j + (Size * k))));
        return new CodeRgb(_nodes[n], _nodes[n + 1], _nodes[n + 2]);
    }

    /// <summary>The input that maps to node (i, j, k).</summary>
    public CodeRgb InputOf(int i, int j, int k)
    {
        double last = Size - 1;
        return new CodeRgb(
            DomainMin.R + ((DomainMax.R - DomainMin.R) * i / last),
            DomainMin.G + ((DomainMax.G - DomainMin.G) * j / last),
            DomainMin.B + ((DomainMax.B - DomainMin.B) * k / last));
    }
}
