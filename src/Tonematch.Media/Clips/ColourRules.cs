using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;

namespace Tonematch.Media.Clips;

/// <summary>
/// Derives the colour properties in use from the tags. Tags are obeyed. Untagged files follow the common practice of
/// players: the BT.709 matrix for pictures wider than 1279 columns or higher than 576 lines, else BT.601; limited
/// range; BT.709 displayed through BT.1886. JPEG is BT.601, full range (ISO/IEC 10918-5, JFIF); still pictures are
/// sRGB.
/// </summary>
internal static class ColourRules
{
    public static ColourDescription Decide(
        ColourTags tags, string pixelFormat, string codec, int width, int height, bool isStill, IccProfile? icc,
        ImmutableArray<string>.Builder assumptions)
    {
        PixelLayout? layout = PixelLayout.Find(pixelFormat);
        bool ycbcr = layout?.IsYcbcr ?? pixelFormat.StartsWith("yuv", StringComparison.Ordinal);
        CodePoint? primaries = H273.Primaries(tags.Primaries), transfer = H273.Transfer(tags.Transfer);
        SignalRange range = RangeOf(tags, pixelFormat, ycbcr, isStill, assumptions);
        CodePoint matrix = !ycbcr ? H273.Identity : MatrixOf(tags, primaries, codec, width, height, isStill, assumptions);
        ChromaLocation location = LocationOf(tags, codec, primaries, isStill);
        SignalEncoding encoding = isStill
            ? StillEncoding(icc, primaries, transfer, assumptions)
            : ClipEncoding(primaries, transfer, assumptions);
        return new ColourDescription(range, matrix, primaries, transfer, location, encoding);
    }

    private static SignalRange RangeOf(
        ColourTags tags, string pixelFormat, bool ycbcr, bool isStill, ImmutableArray<string>.Builder assumptions)
    {
        if (pixelFormat.StartsWith("yuvj", StringComparison.Ordinal) || tags.Range is "pc" or "full" or "jpeg")
        {
            return SignalRange.Full;
        }

        if (tags.Range is "tv" or "limited" or "mpeg")
        {
            return SignalRange.Limited;
        }

        if (!ycbcr && (isStill || !pixelFormat.StartsWith("gray", StringComparison.Ordinal)))
        {
            // RGB is full range unless tagged otherwise (H.273, 8.3: VideoFullRangeFlag's default use for RGB files).
            return SignalRange.Full;
        }

        if (!isStill)
        {
            assumptions.Add("The file does not say how black and white are recorded: the usual limited range is assumed (black 16, white 235 in 8 bits).");
        }

        return SignalRange.Limited;
    }

    private static CodePoint MatrixOf(
        ColourTags tags, CodePoint? primaries, string codec, int width, int height, bool isStill,
        ImmutableArray<string>.Builder assumptions)
    {
        if (H273.Matrix(tags.Matrix) is { } tagged)
        {
            return tagged;
        }

        if (isStill && codec is "mjpeg" or "webp" or "vp8" or "tiff")
        {
            return H273.Bt601Matrix;
        }

        (CodePoint matrix, string because) = primaries?.Code switch
        {
            H273.PrimariesBt2020 => (H273.Bt2020Matrix, "because its primaries are BT.2020"),
            1 => (H273.Bt709Matrix, "because its primaries are BT.709"),
            5 or 6 => (H273.Bt601Matrix, "because its primaries are those of BT.601"),
            _ => width >= 1280 || height > 576
                ? (H273.Bt709Matrix, Invariant($"as is usual for {width}x{height}"))
                : (H273.Bt601Matrix, Invariant($"as is usual for {width}x{height}")),
        };
        assumptions.Add($"The file does not say which matrix its colours use: {matrix.Name} is assumed, {because}.");
        return matrix;
    }

    private static ChromaLocation LocationOf(ColourTags tags, string codec, CodePoint? primaries, bool isStill) => tags.ChromaLocation switch
    {
        "left" => ChromaLocation.Left,
        "center" => ChromaLocation.Centre,
        "topleft" => ChromaLocation.TopLeft,
        "top" => ChromaLocation.Top,
        "bottomleft" => ChromaLocation.BottomLeft,
        "bottom" => ChromaLocation.Bottom,
        // JFIF and MPEG-1 place it in the centre, BT.2020 and BT.2100 at the top left, everything else in use at the
        // left.
        _ => isStill || codec is "mjpeg" or "mpeg1video" ? ChromaLocation.Centre
            : primaries?.Code == H273.PrimariesBt2020 && codec == "hevc" ? ChromaLocation.TopLeft
            : ChromaLocation.Left,
    };

    private static SignalEncoding StillEncoding(
        IccProfile? icc, CodePoint? primaries, CodePoint? transfer, ImmutableArray<string>.Builder assumptions)
    {
        if (transfer?.Code == H273.TransferHlg)
        {
            return SignalEncoding.Hlg;
        }

        if (transfer?.Code == H273.TransferPq)
        {
            return SignalEncoding.Pq;
        }

        if (icc is not null)
        {
            if (icc.Encoding is { } known)
            {
                return known;
            }

            assumptions.Add($"The picture's colour profile ('{icc.Description}') is not known here: sRGB is assumed, so strong colours may be wrong.");
            return SignalEncoding.Srgb;
        }

        if (primaries?.Code == H273.PrimariesP3D65)
        {
            return SignalEncoding.DisplayP3;
        }

        if (primaries is null && transfer is null)
        {
            assumptions.Add("The picture has no colour profile: sRGB is assumed.");
        }

        return SignalEncoding.Srgb;
    }

    private static SignalEncoding ClipEncoding(
        CodePoint? primaries, CodePoint? transfer, ImmutableArray<string>.Builder assumptions)
    {
        if (primaries is null && transfer is null)
        {
            assumptions.Add("The file does not say which colours it uses: those of ordinary video (BT.709) are assumed.");
            return SignalEncoding.Bt709;
        }

        int? p = primaries?.Code;
        switch (transfer?.Code)
        {
            case H273.TransferHlg or H273.TransferPq:
                if (p is not null and not H273.PrimariesBt2020)
                {
                    assumptions.Add($"The clip is tagged {transfer} with {primaries} primaries: BT.2100 with BT.2020 primaries is assumed.");
                }

                return transfer.Value.Code == H273.TransferHlg ? SignalEncoding.Hlg : SignalEncoding.Pq;
            case 8 or 9 or 10 or 17:
                assumptions.Add($"The clip's transfer curve ({transfer}) is not known here: it is read as if it were a display curve, so differences in Delta E are only rough.");
                break;
        }

        if (p == H273.PrimariesBt2020)
        {
            return SignalEncoding.Bt2020;
        }

        if (p == H273.PrimariesP3D65)
        {
            if (transfer?.Code != H273.TransferSrgb)
            {
                assumptions.Add($"The clip has P3 primaries with the curve {transfer?.ToString() ?? "untagged"}: it is read as Display P3 (sRGB curve).");
            }

            return SignalEncoding.DisplayP3;
        }

        if (p is not null and not (1 or 5 or 6 or 7))
        {
            assumptions.Add($"The clip's primaries ({primaries}) are not known here: BT.709 is assumed, so strong colours may be wrong.");
        }
        else if (p is 5 or 6 or 7)
        {
            assumptions.Add($"The clip's primaries are {primaries}: they are read as BT.709, which differs only a little.");
        }

        // Screen recordings are tagged with the sRGB curve.
        return transfer?.Code == H273.TransferSrgb ? SignalEncoding.Srgb : SignalEncoding.Bt709;
    }

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
