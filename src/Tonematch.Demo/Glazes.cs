using System.Numerics;

namespace Tonematch.Demo;

/// <summary>
/// Reflectances of the scene's materials in four bands: red, green and blue light (BT.709 primaries) and far red (about
/// 710 nm), to which the secondary camera is slightly sensitive. Plausible values chosen by eye, not measurements.
/// </summary>
internal static class Glazes
{
    public static readonly Vector4 Celadon = new(0.30f, 0.43f, 0.32f, 0.36f);
    public static readonly Vector4 Cobalt = new(0.035f, 0.07f, 0.29f, 0.30f);
    public static readonly Vector4 Oxblood = new(0.31f, 0.035f, 0.035f, 0.55f);
    public static readonly Vector4 Ochre = new(0.50f, 0.28f, 0.07f, 0.66f);
    public static readonly Vector4 TinWhite = new(0.78f, 0.76f, 0.70f, 0.80f);
    public static readonly Vector4 Tenmoku = new(0.035f, 0.022f, 0.018f, 0.06f);
    public static readonly Vector4 Turquoise = new(0.06f, 0.37f, 0.38f, 0.12f);
    public static readonly Vector4 Terracotta = new(0.43f, 0.19f, 0.10f, 0.60f);
    public static readonly Vector4 Rose = new(0.62f, 0.34f, 0.35f, 0.70f);
    public static readonly Vector4 Moss = new(0.14f, 0.20f, 0.06f, 0.30f);
    public static readonly Vector4 Lilac = new(0.34f, 0.26f, 0.48f, 0.52f);
    public static readonly Vector4 Biscuit = new(0.60f, 0.43f, 0.32f, 0.70f);
    public static readonly Vector4 Plaster = new(0.56f, 0.515f, 0.45f, 0.60f);
    public static readonly Vector4 Wainscot = new(0.215f, 0.255f, 0.205f, 0.36f);
    public static readonly Vector4 PaleWood = new(0.44f, 0.29f, 0.16f, 0.58f);
    public static readonly Vector4 DarkWood = new(0.19f, 0.105f, 0.055f, 0.40f);
    public static readonly Vector4 Linen = new(0.60f, 0.57f, 0.50f, 0.66f);
    public static readonly Vector4 Rust = new(0.36f, 0.13f, 0.06f, 0.55f);

    /// <summary>Indigo-dyed cotton: dark, yet bright in far red; the two cameras see it differently.</summary>
    public static readonly Vector4 Indigo = new(0.045f, 0.075f, 0.17f, 0.55f);

    public static readonly Vector4 Skin = new(0.43f, 0.235f, 0.15f, 0.62f);
    public static readonly Vector4 Lips = new(0.36f, 0.14f, 0.11f, 0.58f);
    public static readonly Vector4 Nail = new(0.55f, 0.33f, 0.25f, 0.66f);
    public static readonly Vector4 Hair = new(0.035f, 0.024f, 0.018f, 0.10f);
    public static readonly Vector4 Scarf = new(0.48f, 0.10f, 0.08f, 0.62f);
    public static readonly Vector4 Steel = new(0.30f, 0.31f, 0.32f, 0.32f);
    public static readonly Vector4 Enamel = new(0.24f, 0.30f, 0.34f, 0.28f);
    public static readonly Vector4 Card = new(0.016f, 0.016f, 0.017f, 0.02f);
}
