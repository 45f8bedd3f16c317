using System.Buffers.Binary;
using System.IO.Compression;

namespace Tonematch.Media.Clips;

/// <summary>
/// Colour profile and EXIF orientation of a still picture, found without decoding it: segments of JPEG (ISO/IEC 10918-1
/// annex B), chunks of PNG (W3C PNG, 11.3) and WebP (RFC 9649), the first directory of TIFF 6.0, the 'colr' box of HEIF
/// (ISO/IEC 23008-12). Every length is checked; profiles above 4 MB are ignored.
/// </summary>
internal sealed record StillMetadata(IccProfile? Icc, Orientation? Orientation)
{
    private const int MaxProfile = 4 << 20;
    private const int MaxScanned = 8 << 20;

    public static StillMetadata Nothing { get; } = new(null, null);

    /// <summary>Scans the file's first 8 MB; unreadable parts are ignored, since FFmpeg validates the file.</summary>
    public static StillMetadata Read(string path)
    {
        byte[] data;
        try
        {
            using FileStream file = new(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
            data = new byte[(int)Math.Min(file.Length, MaxScanned)];
            int n = file.ReadAtLeast(data, data.Length, throwOnEndOfStream: false);
            Array.Resize(ref data, n);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return Nothing;
        }

        return Read(data);
    }

    /// <summary>The same for bytes in memory.</summary>
    internal static StillMetadata Read(ReadOnlySpan<byte> data) =>
        data.Length < 16 ? Nothing
        : data[0] == 0xFF && data[1] == 0xD8 ? Jpeg(data)
        : data.StartsWith((ReadOnlySpan<byte>)[0x89, 0x50, 0x4E, 0x47]) ? Png(data)
        : data.StartsWith("RIFF"u8) ? Webp(data)
        : data.StartsWith("II*\0"u8) || data.StartsWith("MM\0*"u8) ? Tiff(data)
        : data[4..8].SequenceEqual("ftyp"u8) ? new StillMetadata(HeifProfile(data), null)
        : Nothing;

    private static StillMetadata Jpeg(ReadOnlySpan<byte> data)
    {
        SortedDictionary<int, byte[]> parts = [];
        Orientation? orientation = null;
        int total = 0;
        for (int i = 2; i + 4 <= data.Length && data[i] == 0xFF;)
        {
            int marker = data[i + 1];
            if (marker == 0xFF)
            {
                i++;
                continue;
            }

            if (marker is 0xDA or 0xD9)
            {
                break;
            }

            int length = BinaryPrimitives.ReadUInt16BigEndian(data[(i + 2)..]);
            if (length < 2 || i + 2 + length > data.Length)
            {
                break;
            }

            ReadOnlySpan<byte> body = data.Slice(i + 4, length - 2);
            if (marker == 0xE1 && body.StartsWith("Exif\0\0"u8))
            {
                orientation ??= Tiff(body[6..]).Orientation;
            }
            else if (marker == 0xE2 && body.StartsWith("ICC_PROFILE\0"u8) && body.Length > 14 && total + body.Length < MaxProfile)
            {
                total += body.Length;
                parts[body[12]] = body[14..].ToArray();
            }

            i += 2 + length;
        }

        return new StillMetadata(parts.Count == 0 ? null : IccProfile.Read(parts.Values.SelectMany(p => p).ToArray()), orientation);
    }

    private static StillMetadata Png(ReadOnlySpan<byte> data)
    {
        IccProfile? icc = null;
        Orientation? orientation = null;
        for (int i = 8; i + 12 <= data.Length;)
        {
            uint length = BinaryPrimitives.ReadUInt32BigEndian(data[i..]);
            ReadOnlySpan<byte> kind = data.Slice(i + 4, 4);
            if (length > data.Length - i - 12)
            {
                break;
            }

            ReadOnlySpan<byte> body = data.Slice(i + 8, (int)length);
            if (kind.SequenceEqual("iCCP"u8) && body.IndexOf((byte)0) is >= 0 and int zero && zero + 2 < body.Length)
            {
                icc = IccProfile.Read(Inflate(body[(zero + 2)..]));
            }
            else if (kind.SequenceEqual("eXIf"u8))
            {
                orientation = Tiff(body).Orientation;
            }
            else if (kind.SequenceEqual("IEND"u8))
            {
                break;
            }

            i += 12 + (int)length;
        }

        return new StillMetadata(icc, orientation);
    }

    private static StillMetadata Webp(ReadOnlySpan<byte> data)
    {
        IccProfile? icc = null;
        Orientation? orientation = null;
        for (int i = 12; i + 8 <= data.Length;)
        {
            uint length = BinaryPrimitives.ReadUInt32LittleEndian(data[(i + 4)..]);
            if (length > data.Length - i - 8)
            {
                break;
            }

            ReadOnlySpan<byte> body = data.Slice(i + 8, (int)length);
            if (data.Slice(i, 4).SequenceEqual("ICCP"u8))
            {
                icc = IccProfile.Read(body);
            }
            else if (data.Slice(i, 4).SequenceEqual("EXIF"u8))
            {
                orientation = Tiff(body.StartsWith("Exif\0\0"u8) ? body[6..] : body).Orientation;
            }

            i += 8 + (int)length + ((int)length & 1);
        }

        return new StillMetadata(icc, orientation);
    }

    private static StillMetadata Tiff(ReadOnlySpan<byte> data)
    {
        if (data.Length < 14)
        {
            return Nothing;
        }

        bool big = data[0] == 'M';
        uint directory = U32(data[4..], big);
        if (directory > data.Length - 2)
        {
            return Nothing;
        }

        IccProfile? icc = null;
        Orientation? orientation = null;
        int count = U16(data[(int)directory..], big);
        for (int i = 0; i < count; i++)
        {
            long at = directory + 2 + (12L * i);
            if (at + 12 > data.Length)
            {
                break;
            }

            ReadOnlySpan<byte> entry = data.Slice((int)at, 12);
            int tag = U16(entry, big);
            uint length = U32(entry[4..], big), offset = U32(entry[8..], big);
            if (tag == 0x0112 && U16(entry[8..], big) is >= 1 and <= 8 and int o)
            {
                orientation = (Orientation)o;
            }
            else if (tag == 34675 && offset < data.Length && length <= data.Length - offset)
            {
                icc = IccProfile.Read(data.Slice((int)offset, (int)length));
            }
        }

        return new StillMetadata(icc, orientation);
    }

    private static IccProfile? HeifProfile(ReadOnlySpan<byte> data)
    {
        // The boxes above it (meta, iprp, ipco) only nest, so searching for 'colr' + 'prof' directly finds the same
        // bytes.
        ReadOnlySpan<byte> head = data[..Math.Min(data.Length, 1 << 20)];
        int i = head.IndexOf("colrprof"u8);
        if (i < 4)
        {
            return null;
        }

        uint size = BinaryPrimitives.ReadUInt32BigEndian(head[(i - 4)..]);
        return size is > 12 and < MaxProfile && i - 4 + size <= data.Length ? IccProfile.Read(data.Slice(i + 8, (int)size - 12)) : null;
    }

    private static byte[] Inflate(ReadOnlySpan<byte> compressed)
    {
        try
        {
            using MemoryStream source = new(compressed.ToArray());
            using ZLibStream inflate = new(source, CompressionMode.Decompress);
            byte[] profile = new byte[MaxProfile];
            int n = inflate.ReadAtLeast(profile, profile.Length, throwOnEndOfStream: false);
            return profile[..n];
        }
        catch (InvalidDataException)
        {
            return [];
        }
    }

    private static int U16(ReadOnlySpan<byte> b, bool big) =>
        big ? BinaryPrimitives.ReadUInt16BigEndian(b) : BinaryPrimitives.ReadUInt16LittleEndian(b);

    private static uint U32(ReadOnlySpan<byte> b, bool big) =>
        big ? BinaryPrimitives.ReadUInt32BigEndian(b) : BinaryPrimitives.ReadUInt32LittleEndian(b);
}
