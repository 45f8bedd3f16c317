using System.Diagnostics.CodeAnalysis;

namespace Tonematch.Colour;

/// <summary>
/// How code values of a picture are meant: primaries, camera curve (code to scene light) and display curve (code to
/// what is seen). A closed set; see <see cref="All"/>.
/// </summary>
public sealed class SignalEncoding
{
    private readonly Func<double, double> _toScene;
    private readonly Func<double, double> _fromScene;
    private readonly Func<CodeRgb, DisplayRgb> _toDisplay;
    private readonly Func<DisplayRgb, CodeRgb> _fromDisplay;
    private readonly Matrix3 _rgbToXyz;
    private readonly Matrix3 _xyzToRgb;
    private readonly Xyz _white;

    private SignalEncoding(
        string name,
        string title,
        RgbPrimaries primaries,
        Func<double, double> toScene,
        Func<double, double> fromScene,
        Func<CodeRgb, DisplayRgb> toDisplay,
        Func<DisplayRgb, CodeRgb> fromDisplay)
    {
        Name = name;
        Title = title;
        Primaries = primaries;
        _toScene = toScene;
        _fromScene = fromScene;
        _toDisplay = toDisplay;
        _fromDisplay = fromDisplay;
        _rgbToXyz = primaries.RgbToXyz();
        _xyzToRgb = _rgbToXyz.Inverse();
        _white = primaries.White.ToXyz();
    }

    /// <summary>BT.709 primaries and camera curve, seen through the BT.1886 display (gamma 2.4, black 0).</summary>
    public static SignalEncoding Bt709 { get; } = new(
        "bt709", "BT.709 seen through BT.1886", RgbPrimaries.Bt709,
        TransferFunctions.Bt709ToScene, TransferFunctions.Bt709FromScene,
        PerChannel(TransferFunctions.Bt1886ToDisplay), PerChannelBack(TransferFunctions.Bt1886FromDisplay));

    /// <summary>sRGB, IEC 61966-2-1: one curve for both directions.</summary>
    public static SignalEncoding Srgb { get; } = new(
        "srgb", "sRGB", RgbPrimaries.Bt709,
        TransferFunctions.SrgbToLinear, TransferFunctions.SrgbFromLinear,
        PerChannel(TransferFunctions.SrgbToLinear), PerChannelBack(TransferFunctions.SrgbFromLinear));

    /// <summary>Display P3: P3 primaries, D65 white, sRGB curve.</summary>
    public static SignalEncoding DisplayP3 { get; } = new(
        "display-p3", "Display P3", RgbPrimaries.P3D65,
        TransferFunctions.SrgbToLinear, TransferFunctions.SrgbFromLinear,
        PerChannel(TransferFunctions.SrgbToLinear), PerChannelBack(TransferFunctions.SrgbFromLinear));

    /// <summary>BT.2020 SDR: BT.2020 primaries and camera curve, BT.1886 display.</summary>
    public static SignalEncoding Bt2020 { get; } = new(
        "bt2020", "BT.2020 (SDR) seen through BT.1886", RgbPrimaries.Bt2020,
        TransferFunctions.Bt709ToScene, TransferFunctions.Bt709FromScene,
        PerChannel(TransferFunctions.Bt1886ToDisplay), PerChannelBack(TransferFunctions.Bt1886FromDisplay));

    /// <summary>BT.2100 HLG, seen on a 1000 cd/m2 display.</summary>
    public static SignalEncoding Hlg { get; } = new(
        "hlg", "BT.2100 HLG at 1000 cd/m2", RgbPrimaries.Bt2020,
        TransferFunctions.HlgToScene, TransferFunctions.HlgFromScene,
        TransferFunctions.HlgToDisplay, TransferFunctions.HlgFromDisplay);

    /// <summary>BT.2100 PQ (SMPTE ST 2084): absolute light; scene light 1 is 10 000 cd/m2.</summary>
    public static SignalEncoding Pq { get; } = new(
        "pq", "BT.2100 PQ", RgbPrimaries.Bt2020,
        TransferFunctions.PqToLinear, TransferFunctions.PqFromLinear,
        PerChannel(c => TransferFunctions.PqToLinear(c) * (10000 / TransferFunctions.HdrReferenceWhite)),
        PerChannelBack(l => TransferFunctions.PqFromLinear(l * (TransferFunctions.HdrReferenceWhite / 10000))));

    /// <summary>Every encoding, in the order of the command line's help.</summary>
    public static IReadOnlyList<SignalEncoding> All { get; } = [Bt709, Srgb, DisplayP3, Bt2020, Hlg, Pq];

    /// <summary>The name on the command line and in files: bt709, srgb, display-p3, bt2020, hlg or pq.</summary>
    public string Name { get; }

    /// <summary>The name in sentences for people.</summary>
    public string Title { get; }

    /// <summary>The chromaticities of the primaries and of white.</summary>
    public RgbPrimaries Primaries { get; }

    /// <summary>The encoding's own white, Y = 1: what CIELAB is relative to.</summary>
    public Xyz White => _white;

    /// <summary>Linear RGB of these primaries to XYZ.</summary>
    public Matrix3 RgbToXyz => _rgbToXyz;

    /// <summary>XYZ to linear RGB of these primaries.</summary>
    public Matrix3 XyzToRgb => _xyzToRgb;

    /// <summary>High dynamic range (HLG or PQ).</summary>
    public bool IsHdr => this == Hlg || this == Pq;

    /// <summary>Finds an encoding by its <see cref="Name"/>.</summary>
    public static bool TryParse(string? name, [NotNullWhen(true)] out SignalEncoding? encoding)
    {
        encoding = All.FirstOrDefault(e => string.Equals(e.Name, name, StringComparison.OrdinalIgnoreCase));
        return encoding is not null;
    }

    /// <summary>Code values to scene light (the inverse of the camera curve). NaN in, NaN out.</summary>
    public SceneRgb ToScene(CodeRgb code) => new(_toScene(code.R), _toScene(code.G), _toScene(code.B));

    /// <summary>Scene light to code values (the camera curve). Not clamped.</summary>
    public CodeRgb FromScene(SceneRgb light) => new(_fromScene(light.R), _fromScene(light.G), _fromScene(light.B));

    /// <summary>One channel's code value to scene light.</summary>
    public double ToScene(double code) => _toScene(code);

    /// <summary>One channel's scene light to its code value.</summary>
    public double FromScene(double light) => _fromScene(light);

    /// <summary>Code values to the light of the display, relative to reference white.</summary>
    public DisplayRgb ToDisplay(CodeRgb code) => _toDisplay(code);

    /// <summary>Light of the display to code values. Not clamped.</summary>
    public CodeRgb FromDisplay(DisplayRgb light) => _fromDisplay(light);

    /// <summary>Code values to XYZ as seen on the display, Y = 1 at reference white.</summary>
    public Xyz ToXyz(CodeRgb code)
    {
        DisplayRgb d = _toDisplay(code);
        (double x, double y, double z) = _rgbToXyz.Times(d.R, d.G, d.B);
        return new Xyz(x, y, z);
    }

    /// <summary>XYZ as seen on the display to code values. Not clamped.</summary>
    public CodeRgb FromXyz(Xyz xyz)
    {
        (double r, double g, double b) = _xyzToRgb.Times(xyz.X, xyz.Y, xyz.Z);
        return _fromDisplay(new DisplayRgb(r, g, b));
    }

    /// <summary>Code values to CIELAB as seen on the display, relative to the encoding's own white.</summary>
    public Lab ToLab(CodeRgb code) => Lab.FromXyz(ToXyz(code), _white);

    /// <summary>CIELAB (relative to the encoding's own white) to code values. Not clamped.</summary>
    public CodeRgb FromLab(Lab lab) => FromXyz(lab.ToXyz(_white));

    /// <inheritdoc/>
    public override string ToString() => Name;

    private static Func<CodeRgb, DisplayRgb> PerChannel(Func<double, double> f) => c => new(f(c.R), f(c.G), f(c.B));

    private static Func<DisplayRgb, CodeRgb> PerChannelBack(Func<double, double> f) => d => new(f(d.R), f(d.G), f(d.B));
}
