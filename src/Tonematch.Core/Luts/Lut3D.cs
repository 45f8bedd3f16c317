using Tonematch.Colour;

namespace Tonematch.Luts;

/// <summary>
/// A 3D lookup table: <see cref="Size"/> nodes a side, equally spaced from <see cref="DomainMin"/> to
/// <see cref="DomainMax"/>; three floats a node, red fastest (the order of .cube files).
/// </summary>
public sealed class Lut3D
{
    private readonly float[] _nodes;

    /// <summary>Takes over the node values; the caller must not change them afterwards.</summary>
    /// <param name="size">Nodes a side, 2..129.</param>
    /// <param name="nodes">3 x size^3 finite values, r g b of each node, red fastest.</param>
    /// <param name="domainMin">Input that falls on the first node; 0 by default.</param>
    /// <param name="domainMax">Input that falls on the last node; 1 by default. Above the minimum in each channel.</param>
    /// <exception cref="ArgumentException">Size, length, domain or a value is not allowed.</exception>
    public Lut3D(int size, float[] nodes, CodeRgb? domainMin = null, CodeRgb? domainMax = null)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(size, MinSize);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(size, MaxSize);
        ArgumentNullException.ThrowIfNull(nodes);
        if (nodes.Length != 3 * size * size * size)
        {
            throw new ArgumentException($"A LUT of {size} nodes a side has {3 * size * size * size} values, not {nodes.Length}.", nameof(nodes));
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

    /// <summary>Smallest allowed number of nodes a side.</summary>
    public const int MinSize = 2;

    /// <summary>Largest allowed number of nodes a side.</summary>
    public const int MaxSize = 129;

    /// <summary>Nodes a side.</summary>
    public int Size { get; }

    /// <summary>Input that falls on the first node of each channel.</summary>
    public CodeRgb DomainMin { get; }

    /// <summary>Input that falls on the last node of each channel.</summary>
    public CodeRgb DomainMax { get; }

    /// <summary>r g b of each node, red fastest: node (i, j, k) starts at 3 * (i + Size * (j + Size * k)).</summary>
    public ReadOnlySpan<float> Nodes => _nodes;
}
