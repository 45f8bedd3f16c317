namespace Tonematch.Media.Clips;

/// <summary>
/// The code points of Rec. ITU-T H.273 (07/2021), tables 2 (colour primaries), 3 (transfer characteristics) and 4
/// (matrix coefficients), by FFmpeg's names for them.
/// </summary>
internal static class H273
{
    public static readonly CodePoint Bt709Primaries = new(1, "BT.709");
    public static readonly CodePoint Identity = new(0, "identity (RGB)");
    public static readonly CodePoint Bt709Matrix = new(1, "BT.709");
    public static readonly CodePoint Bt601Matrix = new(6, "BT.601");
    public static readonly CodePoint Bt2020Matrix = new(9, "BT.2020 non-constant luminance");

    public const int PrimariesBt2020 = 9;
    public const int PrimariesP3D65 = 12;
    public const int TransferSrgb = 13;
    public const int TransferPq = 16;
    public const int TransferHlg = 18;

    private static readonly Dictionary<string, CodePoint> s_primaries = new()
    {
        ["bt709"] = Bt709Primaries,
        ["bt470m"] = new(4, "BT.470 system M"),
        ["bt470bg"] = new(5, "BT.601 625 lines"),
        ["smpte170m"] = new(6, "BT.601 525 lines"),
        ["smpte240m"] = new(7, "SMPTE ST 240"),
        ["film"] = new(8, "generic film"),
        ["bt2020"] = new(PrimariesBt2020, "BT.2020"),
        ["smpte428"] = new(10, "SMPTE ST 428-1 (XYZ)"),
        ["smpte431"] = new(11, "SMPTE RP 431-2 (P3)"),
        ["smpte432"] = new(PrimariesP3D65, "SMPTE EG 432-1 (P3 D65)"),
        ["ebu3213"] = new(22, "EBU Tech 3213-E"),
        ["jedec-p22"] = new(22, "EBU Tech 3213-E"),
    };

    private static readonly Dictionary<string, CodePoint> s_transfers = new()
    {
        ["bt709"] = new(1, "BT.709"),
        ["bt470m"] = new(4, "gamma 2.2"),
        ["gamma22"] = new(4, "gamma 2.2"),
        ["bt470bg"] = new(5, "gamma 2.8"),
        ["gamma28"] = new(5, "gamma 2.8"),
        ["smpte170m"] = new(6, "BT.601"),
        ["smpte240m"] = new(7, "SMPTE ST 240"),
        ["linear"] = new(8, "linear"),
        ["log"] = new(9, "logarithmic 100:1"),
        ["log100"] = new(9, "logarithmic 100:1"),
        ["log_sqrt"] = new(10, "logarithmic 316:1"),
        ["log316"] = new(10, "logarithmic 316:1"),
        ["iec61966-2-4"] = new(11, "IEC 61966-2-4 (xvYCC)"),
        ["bt1361e"] = new(12, "BT.1361 extended gamut"),
        ["iec61966-2-1"] = new(TransferSrgb, "IEC 61966-2-1 (sRGB)"),
        ["bt2020-10"] = new(14, "BT.2020 10 bit"),
        ["bt2020-12"] = new(15, "BT.2020 12 bit"),
        ["smpte2084"] = new(TransferPq, "SMPTE ST 2084 (PQ)"),
        ["smpte428"] = new(17, "SMPTE ST 428-1"),
        ["arib-std-b67"] = new(TransferHlg, "BT.2100 HLG"),
    };

    private static readonly Dictionary<string, CodePoint> s_matrices = new()
    {
        ["gbr"] = Identity,
        ["rgb"] = Identity,
        ["bt709"] = Bt709Matrix,
        ["fcc"] = new(4, "FCC 73.682"),
        ["bt470bg"] = new(5, "BT.601 (625 lines)"),
        ["smpte170m"] = Bt601Matrix,
        ["smpte240m"] = new(7, "SMPTE ST 240"),
        ["ycgco"] = new(8, "YCgCo"),
        ["bt2020nc"] = Bt2020Matrix,
        ["bt2020ncl"] = Bt2020Matrix,
        ["bt2020_ncl"] = Bt2020Matrix,
        ["bt2020c"] = new(10, "BT.2020 constant luminance"),
        ["bt2020_cl"] = new(10, "BT.2020 constant luminance"),
        ["smpte2085"] = new(11, "SMPTE ST 2085"),
        ["chroma-derived-nc"] = new(12, "chromaticity-derived non-constant luminance"),
        ["chroma-derived-c"] = new(13, "chromaticity-derived constant luminance"),
        ["ictcp"] = new(14, "ICtCp"),
    };

    /// <summary>The primaries with FFmpeg's name; null for 'unknown', 'reserved' or no name.</summary>
    public static CodePoint? Primaries(string? word) => Find(s_primaries, word);

    /// <summary>The transfer characteristics with FFmpeg's name.</summary>
    public static CodePoint? Transfer(string? word) => Find(s_transfers, word);

    /// <summary>The matrix coefficients with FFmpeg's name.</summary>
    public static CodePoint? Matrix(string? word) => Find(s_matrices, word);

    private static CodePoint? Find(Dictionary<string, CodePoint> table, string? word) =>
        word is not null && table.TryGetValue(word, out CodePoint found) ? found : null;
}
