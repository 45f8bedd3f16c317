namespace Tonematch.Colour;

/// <summary>The chromaticities of an RGB encoding's primaries and white.</summary>
public sealed record RgbPrimaries(Chromaticity Red, Chromaticity Green, Chromaticity Blue, Chromaticity White)
{
    /// <summary>ITU-R BT.709-6 item 1.3 (also IEC 61966-2-1, sRGB).</summary>
    public static RgbPrimaries Bt709 { get; } =
        new(new(0.640, 0.330), new(0.300, 0.600), new(0.150, 0.060), Chromaticity.D65);

    /// <summary>SMPTE EG 432-1 (P3 primaries with D65 white: Display P3).</summary>
    public static RgbPrimaries P3D65 { get; } =
        new(new(0.680, 0.320), new(0.265, 0.690), new(0.150, 0.060), Chromaticity.D65);

    /// <summary>ITU-R BT.2020-2 table 3 (also BT.2100).</summary>
    public static RgbPrimaries Bt2020 { get; } =
        new(new(0.708, 0.292), new(0.170, 0.797), new(0.131, 0.046), Chromaticity.D65);

    /// <summary>ACES primaries 1 with the ACES white point (S-2016-001 and S-2014-004, Academy of Motion Picture Arts and Sciences).</summary>
    public static RgbPrimaries Ap1 { get; } =
        new(new(0.713, 0.293), new(0.165, 0.830), new(0.128, 0.044), new(0.32168, 0.33767));

    /// <summary>
    /// The matrix from linear RGB to XYZ, scaled so that R = G = B = 1 has Y = 1 (SMPTE RP 177-1993).
    /// </summary>
    public Matrix3 RgbToXyz()
    {
        Xyz r = Red.ToXyz(), g = Green.ToXyz(), b = Blue.ToXyz(), w = White.ToXyz();
        Matrix3 p = new(r.X, g.X, b.X, r.Y, g.Y, b.Y, r.Z, g.Z, b.Z);
        (double sr, double sg, double sb) = p.Inverse().Times(w.X, w.Y, w.Z);
        return p * Matrix3.Diagonal(sr, sg, sb);
    }
}
