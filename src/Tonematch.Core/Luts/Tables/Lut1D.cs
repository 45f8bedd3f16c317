using Tonematch.Colour;

namespace Tonematch.Luts.Tables;

/// <summary>
/// Three curves as tables: <see cref="Size"/> entries per channel, equally spaced from <see cref="DomainMin"/> to
/// <see cref="DomainMax"/> of that channel, linear between them, constant outside.
/// </summary>
public sealed class Lut1D
{
    private readonly float[] _entries;

    /// <summary>Takes ownership of the entries; the caller must not change them afterwards.</summary>
    /// <param name="size">Entries per channel, 2..65536.</param>
    /// <param name="entries">3 x size finite values: r g b of each entry.</param>
    /// <param name="domainMin">Input that maps to the first entry; 0 by default.</param>
    /// <param name="domainMax">Input that maps to the last entry; 1 by default. Above the minimum in each channel.</param>
    /// <exception cref="ArgumentException">Size, length, domain or a value is not allowed.</exception>
    public Lut1D(int size, float[] entries, CodeRgb? domainMin = null, CodeRgb? domainMax = null)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(size, MinSize);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(size, MaxSize);
        ArgumentNullException.ThrowIfNull(entries);
        if (entries.Length != 3 * size)
        {
            throw new ArgumentException($"A 1D LUT of {size} entries has {3 * size} values, not {entries.Length}.", nameof(entries));
        }

        if (entries.AsSpan().ContainsAnyExceptInRange(float.MinValue, float.MaxValue))
        {
            throw new ArgumentException("An entry's value is not a finite number.", nameof(entries));
        }

        DomainMin = domainMin ?? CodeRgb.Grey(0);
        DomainMax = domainMax ?? CodeRgb.Grey(1);
        if (!(DomainMax.R > DomainMin.R && DomainMax.G > DomainMin.G && DomainMax.B > DomainMin.B))
        {
            throw new ArgumentException("The domain's maximum must be above its minimum in each channel.", nameof(domainMax));
        }

        (Size, _entries) = (size, entries);
    }

    /// <summary>Smallest allowed number of entries per channel.</summary>
    public const int MinSize = 2;

    /// <summary>Largest allowed number of entries per channel.</summary>
    public const int MaxSize = 65536;

    /// <summary>Entries per channel.</summary>
    public int Size { get; }

    /// <summary>Input that maps to the first entry of each channel.</summary>
    public CodeRgb DomainMin { get; }

    /// <summary>Input that maps to the last entry of each channel.</summary>
    public CodeRgb DomainMax { get; }

    /// <summary>r g b of each entry: entry i starts at 3 * i.</summary>
    public ReadOnlySpan<float> Entries => _entries;
}
