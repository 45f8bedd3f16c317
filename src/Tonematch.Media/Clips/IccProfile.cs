using System.Buffers.Binary;
using Tonematch.Colour;

namespace Tonematch.Media.Clips;

/// <summary>
/// The required parts of an ICC profile (ISO 15076-1:2010): its description and, for RGB matrix profiles, the encoding
/// that its colorants and curve match. Safe for hostile bytes: every offset is checked, and no allocation depends on
/// claims in the file.
/// </summary>
internal sealed record IccProfile(string Description, SignalEncoding? Encoding)
{
    private const int MaxTags = 100;

    // Media-relative colorants for D50: the primaries adapted by the Bradford matrix, as stored in such profiles.
    private static readonly double[] s_srgb = [0.4360, 0.2225, 0.0139, 0.3851, 0.7169, 0.0971, 0.1431, 0.0606, 0.7141];
    private static readonly double[] s_displayP3 = [0.5151, 0.2412, -0.0011, 0.2919, 0.6922, 0.0419, 0.1572, 0.0666, 0.7841];

    /// <summary>The encodings' colorants, for the tests that recompute them.</summary>
    internal static IReadOnlyList<(SignalEncoding Encoding, double[] Colorants)> Known =>
        [(SignalEncoding.Srgb, s_srgb), (SignalEncoding.DisplayP3, s_displayP3)];

    /// <summary>Reads a profile; null if the bytes are not a profile.</summary>
    public static IccProfile? Read(ReadOnlySpan<byte> profile)
    {
        if (profile.Length < 132 || !profile[36..40].SequenceEqual("acsp"u8))
        {
            return null;
        }

        bool rgb = profile[16..20].SequenceEqual("RGB "u8);
        string description = DescriptionOf(Tag(profile, "desc"u8));
        SignalEncoding? encoding = null;
        if (rgb && Curve(Tag(profile, "rTRC"u8)) is { } half
            && Colorant(Tag(profile, "rXYZ"u8)) is { } r && Colorant(Tag(profile, "gXYZ"u8)) is { } g && Colorant(Tag(profile, "bXYZ"u8)) is { } b)
        {
            double[] found = [.. r, .. g, .. b];
            // sRGB gives 0.2140 at one half; gamma 2.2, a common approximation, 0.2176.
            if (Math.Abs(half - 0.2140) < 0.008)
            {
                foreach ((SignalEncoding e, double[] colorants) in Known)
                {
                    encoding = found.Zip(colorants).All(p => Math.Abs(p.First - p.Second) < 0.006) ? e : encoding;
                }
            }
        }

        return new IccProfile(description.Length == 0 ? "unnamed" : description, encoding);
    }

    private static ReadOnlySpan<byte> Tag(ReadOnlySpan<byte> profile, ReadOnlySpan<byte> signature)
    {
        uint count = Math.Min(BinaryPrimitives.ReadUInt32BigEndian(profile[128..]), MaxTags);
        for (int i = 0; i < count && 132 + (12 * (i + 1)) <= profile.Length; i++)
        {
            ReadOnlySpan<byte> entry = profile.Slice(132 + (12 * i), 12);
            uint offset = BinaryPrimitives.ReadUInt32BigEndian(entry[4..]), size = BinaryPrimitives.ReadUInt32BigEndian(entry[8..]);
            if (entry[..4].SequenceEqual(signature))
            {
                return offset <= profile.Length && size <= profile.Length - offset ? profile.Slice((int)offset, (int)size) : [];
            }
        }

        return [];
    }

    private static string DescriptionOf(ReadOnlySpan<byte> tag)
    {
        if (tag.Length > 28 && tag[..4].SequenceEqual("mluc"u8))
        {
            uint length = BinaryPrimitives.ReadUInt32BigEndian(tag[20..]), offset = BinaryPrimitives.ReadUInt32BigEndian(tag[24..]);
            return offset < tag.Length && length <= tag.Length - offset
                ? Clean(System.Text.Encoding.BigEndianUnicode.GetString(tag.Slice((int)offset, (int)Math.Min(length, 200)))) : "";
        }

        if (tag.Length > 12 && tag[..4].SequenceEqual("desc"u8))
        {
            uint length = BinaryPrimitives.ReadUInt32BigEndian(tag[8..]);
            return length <= tag.Length - 12 ? Clean(System.Text.Encoding.ASCII.GetString(tag.Slice(12, (int)Math.Min(length, 200)))) : "";
        }

        return "";
    }

    private static string Clean(string text) => new string([.. text.Where(c => !char.IsControl(c))]).Trim();

    private static double[]? Colorant(ReadOnlySpan<byte> tag)
    {
        if (tag.Length < 20 || !tag[..4].SequenceEqual("XYZ "u8))
        {
            return null;
        }

        return [Fixed(tag[8..]), Fixed(tag[12..]), Fixed(tag[16..])];
    }

    private static double Fixed(ReadOnlySpan<byte> b) => BinaryPrimitives.ReadInt32BigEndian(b) / 65536.0;

    /// <summary>The curve's value at one half ('curv' and 'para', 10.5 and 10.15 of the standard).</summary>
    private static double? Curve(ReadOnlySpan<byte> tag)
    {
        if (tag.Length >= 12 && tag[..4].SequenceEqual("curv"u8))
        {
            uint n = BinaryPrimitives.ReadUInt32BigEndian(tag[8..]);
            if (n == 0)
            {
                return 0.5;
            }

            if (n > (uint)(tag.Length - 12) / 2)
            {
                return null;
            }

            if (n == 1)
            {
                return Math.Pow(0.5, BinaryPrimitives.ReadUInt16BigEndian(tag[12..]) / 256.0);
            }

            double x = 0.5 * (n - 1);
            int i = (int)x;
            double a = BinaryPrimitives.ReadUInt16BigEndian(tag[(12 + (2 * i))..]);
            double b = BinaryPrimitives.ReadUInt16BigEndian(tag[(12 + (2 * Math.Min(i + 1, (int)n - 1)))..]);
            return (a + ((b - a) * (x - i))) / 65535;
        }

        if (tag.Length >= 16 && tag[..4].SequenceEqual("para"u8))
        {
            int kind = BinaryPrimitives.ReadUInt16BigEndian(tag[8..]);
            int count = kind switch { 0 => 1, 1 => 3, 2 => 4, 3 => 5, 4 => 7, _ => 0 };
            if (count == 0 || tag.Length < 12 + (4 * count))
            {
                return null;
            }

            double[] p = new double[7];
            for (int i = 0; i < count; i++)
            {
                p[i] = Fixed(tag[(12 + (4 * i))..]);
            }

            (double g, double a, double b, double c, double d, double e, double f) = (p[0], p[1], p[2], p[3], p[4], p[5], p[6]);
            const double x = 0.5;
            return kind switch
            {
                0 => Math.Pow(x, g),
                1 => x >= -b / a ? Math.Pow((a * x) + b, g) : 0,
                2 => x >= -b / a ? Math.Pow((a * x) + b, g) + c : c,
                3 => x >= d ? Math.Pow((a * x) + b, g) : c * x,
                _ => x >= d ? Math.Pow((a * x) + b, g) + e : (c * x) + f,
            };
        }

        return null;
    }
}
