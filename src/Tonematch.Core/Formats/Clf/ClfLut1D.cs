using Tonematch.Colour;

namespace Tonematch.Formats.Clf;

/// <summary>Three curves as tables over 0..1, or over every half-precision float.</summary>
public sealed record ClfLut1D : ClfNode
{
    /// <summary>Largest number of entries per channel.</summary>
    public const int MaxSize = 1 << 20;

    /// <summary>Entries of a table over every half-precision float.</summary>
    public const int HalfDomainSize = 1 << 16;

    private const double LargestHalf = 65504;

    private readonly float[] _entries;

    /// <summary>Takes ownership of the entries; the caller must not change them afterwards.</summary>
    /// <param name="entries">Normalised values, r g b of each entry; at least two entries.</param>
    /// <param name="isHalfDomain">Whether entry i is for the half-precision float with the bits i.</param>
    /// <exception cref="ArgumentException">The number of entries is not allowed, or a value is not finite.</exception>
    public ClfLut1D(float[] entries, bool isHalfDomain = false)
    {
        ArgumentNullException.ThrowIfNull(entries);
        int size = entries.Length / 3;
        if (entries.Length % 3 != 0 || size < 2 || size > MaxSize || (isHalfDomain && size != HalfDomainSize))
        {
            throw new ArgumentException($"A LUT1D has three times 2 to {MaxSize} values, over the half domain three times {HalfDomainSize}.", nameof(entries));
        }

        for (int i = 0; i < entries.Length; i++)
        {
            // The entries for NaN and the infinities are never used.
            bool isUsed = !isHalfDomain || Half.IsFinite(BitConverter.UInt16BitsToHalf((ushort)(i / 3)));
            if (isUsed && !float.IsFinite(entries[i]))
            {
                throw new ArgumentException("An entry's value is not a finite number.", nameof(entries));
            }
        }

        (_entries, Size, IsHalfDomain) = (entries, size, isHalfDomain);
    }

    /// <summary>Entries per channel.</summary>
    public int Size { get; }

    /// <summary>Whether there is one entry for every half-precision float instead of equal steps.</summary>
    public bool IsHalfDomain { get; }

    /// <summary>r g b of each entry.</summary>
    public ReadOnlySpan<float> Entries => _entries;

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb code) => new(Channel(code.R, 0), Channel(code.G, 1), Channel(code.B, 2));

    private double Channel(double x, int channel) => IsHalfDomain ? OverHalfs(x, channel) : OverUnitRange(x, channel);

    private double OverUnitRange(double x, int channel)
    {
        double place = x * (Size - 1);
        if (!(place > 0))
        {
            return _entries[channel];
        }

        int cell = (int)Math.Min(place, Size - 2);
        double t = Math.Min(place, Size - 1) - cell;
        return ((1 - t) * _entries[(3 * cell) + channel]) + (t * _entries[(3 * cell) + 3 + channel]);
    }

    private double OverHalfs(double x, int channel)
    {
        double inside = double.IsNaN(x) ? 0 : Math.Clamp(x, -LargestHalf, LargestHalf);
        Half near = (Half)inside;
        double nearValue = (double)near;
        if (nearValue == inside)
        {
            return At(near);
        }

        // The neighbour on the other side of x; between two half-precision floats the table is linear.
        Half other = nearValue < inside ? Half.BitIncrement(near) : Half.BitDecrement(near);
        double t = (inside - nearValue) / ((double)other - nearValue);
        return ((1 - t) * At(near)) + (t * At(other));

        double At(Half half) => _entries[(3 * BitConverter.HalfToUInt16Bits(half)) + channel];
    }
}
