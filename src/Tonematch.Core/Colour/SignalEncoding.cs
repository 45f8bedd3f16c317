using System.Diagnostics.CodeAnalysis;
using System.Runtime.Intrinsics;

namespace Tonematch.Colour;

/// <summary>
/// The meaning of a picture's code values: primaries, camera curve (code to scene light) and display curve (code to
/// displayed light). A closed set; see <see cref="All"/>.
/// </summary>
public abstract class SignalEncoding
{
    private readonly Matrix3 _toBt2020;

    private SignalEncoding(string name, string title, RgbPrimaries primaries)
    {
        Name = name;
        Title = title;
        Primaries = primaries;
        White = Chromaticity.D65.ToXyz();
        RgbToXyz = primaries.White == Chromaticity.D65
            ? primaries.RgbToXyz()
            : Adaptation.Bradford(primaries.White.ToXyz(), White) * primaries.RgbToXyz();
        XyzToRgb = RgbToXyz.Inverse();
        _toBt2020 = RgbPrimaries.Bt2020.RgbToXyz().Inverse() * RgbToXyz;
    }

    /// <summary>BT.709 primaries and camera curve with the BT.1886 display curve (gamma 2.4, black 0).</summary>
    public static SignalEncoding Bt709 { get; } =
        new Video("bt709", "BT.709 seen through BT.1886", RgbPrimaries.Bt709);

    /// <summary>sRGB, IEC 61966-2-1: one curve for both directions.</summary>
    public static SignalEncoding Srgb { get; } = new SrgbCurve("srgb", "sRGB", RgbPrimaries.Bt709);

    /// <summary>Display P3: P3 primaries, D65 white, sRGB curve.</summary>
    public static SignalEncoding DisplayP3 { get; } = new SrgbCurve("display-p3", "Display P3", RgbPrimaries.P3D65);

    /// <summary>BT.2020 SDR: BT.2020 primaries and camera curve, BT.1886 display.</summary>
    public static SignalEncoding Bt2020 { get; } =
        new Video("bt2020", "BT.2020 (SDR) seen through BT.1886", RgbPrimaries.Bt2020);

    /// <summary>BT.2100 HLG on a 1000 cd/m2 display.</summary>
    public static SignalEncoding Hlg { get; } = new HybridLogGamma();

    /// <summary>BT.2100 PQ (SMPTE ST 2084): absolute light; scene light 1 is 10 000 cd/m2.</summary>
    public static SignalEncoding Pq { get; } = new PerceptualQuantizer();

    /// <summary>
    /// ACEScct ([S-2016-001]): AP1 primaries, logarithmic with a straight toe. Scene light 1 is a perfectly white, matt
    /// surface; code 1 is 222.9 times that. It is displayed as the scene itself, without the rendering of a viewing
    /// transform.
    /// </summary>
    public static SignalEncoding AcesCct { get; } = new Cct();

    /// <summary>Every encoding, in the order of the command line's help.</summary>
    public static IReadOnlyList<SignalEncoding> All { get; } = [Bt709, Srgb, DisplayP3, Bt2020, Hlg, Pq, AcesCct];

    /// <summary>The name on the command line and in files: bt709, srgb, display-p3, bt2020, hlg, pq or acescct.</summary>
    public string Name { get; }

    /// <summary>The display name.</summary>
    public string Title { get; }

    /// <summary>The chromaticities of the primaries and of white.</summary>
    public RgbPrimaries Primaries { get; }

    /// <summary>The white that CIELAB is relative to, Y = 1: D65 in every encoding.</summary>
    public Xyz White { get; }

    /// <summary>
    /// Linear RGB of these primaries to XYZ, in which equal values are <see cref="White"/>: primaries with a white
    /// other than D65 are adapted by Bradford.
    /// </summary>
    public Matrix3 RgbToXyz { get; }

    /// <summary>XYZ to linear RGB of these primaries.</summary>
    public Matrix3 XyzToRgb { get; }

    /// <summary>Whether this is high dynamic range (HLG or PQ).</summary>
    public bool IsHdr => ReferenceEquals(this, Hlg) || ReferenceEquals(this, Pq);

    /// <summary>
    /// Whether this is a logarithmic encoding of scene light, meant for grading and not for direct viewing.
    /// </summary>
    public bool IsLog => ReferenceEquals(this, AcesCct);

    /// <summary>
    /// Scene light (as <see cref="ToScene(double)"/> gives it) of reference white, the white of a lit sheet of paper, from which stops are
    /// counted: 1 in SDR and ACEScct; HLG's signal of 75 % and PQ's 203 cd/m2, a signal of 58 % ([BT.2408] table 1).
    /// </summary>
    public virtual double ReferenceWhite => 1;

    /// <summary>Finds an encoding by its <see cref="Name"/>.</summary>
    public static bool TryParse(string? name, [NotNullWhen(true)] out SignalEncoding? encoding)
    {
        encoding = All.FirstOrDefault(e => string.Equals(e.Name, name, StringComparison.OrdinalIgnoreCase));
        return encoding is not null;
    }

    /// <summary>One channel's code value to scene light (the inverse of the camera curve). NaN in, NaN out.</summary>
    public abstract double ToScene(double code);

    /// <summary>One channel's scene light to its code value (the camera curve). Not clamped.</summary>
    public abstract double FromScene(double light);

    /// <summary>Code values to scene light. NaN in a channel gives NaN in that channel.</summary>
    public virtual SceneRgb ToScene(CodeRgb code) => new(ToScene(code.R), ToScene(code.G), ToScene(code.B));

    /// <summary>Scene light to code values. Not clamped.</summary>
    public virtual CodeRgb FromScene(SceneRgb light) => new(FromScene(light.R), FromScene(light.G), FromScene(light.B));

    /// <summary>Code values to the light of the display, relative to reference white.</summary>
    public abstract DisplayRgb ToDisplay(CodeRgb code);

    /// <summary>Light of the display to code values. Not clamped.</summary>
    public abstract CodeRgb FromDisplay(DisplayRgb light);

    /// <summary>Code values to displayed XYZ, Y = 1 at reference white.</summary>
    public Xyz ToXyz(CodeRgb code)
    {
        DisplayRgb d = ToDisplay(code);
        (double x, double y, double z) = RgbToXyz.Times(d.R, d.G, d.B);
        return new Xyz(x, y, z);
    }

    /// <summary>Displayed XYZ to code values. Not clamped.</summary>
    public CodeRgb FromXyz(Xyz xyz)
    {
        (double r, double g, double b) = XyzToRgb.Times(xyz.X, xyz.Y, xyz.Z);
        return FromDisplay(new DisplayRgb(r, g, b));
    }

    /// <summary>
    /// Code values to CIELAB as seen on the display, relative to the encoding's own white. NaN in any channel gives
    /// NaN in L*, a* and b*.
    /// </summary>
    public Lab ToLab(CodeRgb code) => Lab.FromXyz(ToXyz(code), White);

    /// <summary>CIELAB (relative to the encoding's own white) to code values. Not clamped.</summary>
    public CodeRgb FromLab(Lab lab) => FromXyz(lab.ToXyz(White));

    /// <summary>Code values to displayed ICtCp, for differences by <see cref="DeltaE.DeltaEItp"/>.</summary>
    /// <param name="code">Code values in this encoding.</param>
    /// <param name="whiteLuminance">
    /// Luminance of reference white, cd/m2, above 0: 203 puts SDR and HDR on one scale ([BT.2408]); 100 is the usual
    /// SDR grading display. The results differ slightly, so state which was used.
    /// </param>
    public ICtCp ToICtCp(CodeRgb code, double whiteLuminance = TransferFunctions.HdrReferenceWhite)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(whiteLuminance);
        DisplayRgb d = ToDisplay(code);
        (double r, double g, double b) = _toBt2020.Times(d.R, d.G, d.B);
        return ICtCp.FromLuminousBt2020(whiteLuminance * r, whiteLuminance * g, whiteLuminance * b);
    }

    /// <inheritdoc/>
    public override string ToString() => Name;

    /// <summary>BT.709 camera curve, BT.1886 display.</summary>
    private sealed class Video(string name, string title, RgbPrimaries primaries)
        : SignalEncoding(name, title, primaries)
    {
        public override double ToScene(double code) => TransferFunctions.Bt709ToScene(code);

        public override double FromScene(double light) => TransferFunctions.Bt709FromScene(light);

        public override DisplayRgb ToDisplay(CodeRgb code)
        {
            // Bt1886ToDisplay of the three channels in parallel: a fit calls this millions of times.
            Vector256<double> v = Vector256.Create(code.R, code.G, code.B, 0), size = Vector256.Abs(v);
            if (!ChannelRoots.CanDo(size))
            {
                return new DisplayRgb(
                    TransferFunctions.Bt1886ToDisplay(code.R),
                    TransferFunctions.Bt1886ToDisplay(code.G),
                    TransferFunctions.Bt1886ToDisplay(code.B));
            }

            v = Vector256.CopySign(ChannelRoots.Power24(size), v);
            return new DisplayRgb(v[0], v[1], v[2]);
        }

        public override CodeRgb FromDisplay(DisplayRgb light) => new(
            TransferFunctions.Bt1886FromDisplay(light.R),
            TransferFunctions.Bt1886FromDisplay(light.G),
            TransferFunctions.Bt1886FromDisplay(light.B));
    }

    /// <summary>The sRGB curve in both directions.</summary>
    private sealed class SrgbCurve(string name, string title, RgbPrimaries primaries)
        : SignalEncoding(name, title, primaries)
    {
        public override double ToScene(double code) => TransferFunctions.SrgbToLinear(code);

        public override double FromScene(double light) => TransferFunctions.SrgbFromLinear(light);

        public override SceneRgb ToScene(CodeRgb code)
        {
            DisplayRgb light = ToDisplay(code);
            return new SceneRgb(light.R, light.G, light.B);
        }

        public override DisplayRgb ToDisplay(CodeRgb code)
        {
            // SrgbToLinear of the three channels in parallel: a fit calls this millions of times.
            Vector256<double> v = Vector256.Create(code.R, code.G, code.B, 0), size = Vector256.Abs(v);
            if (!ChannelRoots.CanDo(size))
            {
                return new DisplayRgb(
                    TransferFunctions.SrgbToLinear(code.R),
                    TransferFunctions.SrgbToLinear(code.G),
                    TransferFunctions.SrgbToLinear(code.B));
            }

            Vector256<double> above = ChannelRoots.Power24((size + Vector256.Create(0.055)) / Vector256.Create(1.055));
            Vector256<double> light = Vector256.ConditionalSelect(
                Vector256.LessThanOrEqual(size, Vector256.Create(0.04045)), size / Vector256.Create(12.92), above);
            v = Vector256.CopySign(light, v);
            return new DisplayRgb(v[0], v[1], v[2]);
        }

        public override CodeRgb FromDisplay(DisplayRgb light) => new(
            TransferFunctions.SrgbFromLinear(light.R),
            TransferFunctions.SrgbFromLinear(light.G),
            TransferFunctions.SrgbFromLinear(light.B));
    }

    private sealed class HybridLogGamma() : SignalEncoding("hlg", "BT.2100 HLG at 1000 cd/m2", RgbPrimaries.Bt2020)
    {
        private const double ReferenceWhiteSignal = 0.75;

        public override double ReferenceWhite { get; } = TransferFunctions.HlgToScene(ReferenceWhiteSignal);

        public override double ToScene(double code) => TransferFunctions.HlgToScene(code);

        public override double FromScene(double light) => TransferFunctions.HlgFromScene(light);

        public override DisplayRgb ToDisplay(CodeRgb code) => TransferFunctions.HlgToDisplay(code);

        public override CodeRgb FromDisplay(DisplayRgb light) => TransferFunctions.HlgFromDisplay(light);
    }

    private sealed class PerceptualQuantizer() : SignalEncoding("pq", "BT.2100 PQ", RgbPrimaries.Bt2020)
    {
        private const double ToReference = 10000 / TransferFunctions.HdrReferenceWhite;

        public override double ReferenceWhite => 1 / ToReference;

        public override double ToScene(double code) => TransferFunctions.PqToLinear(code);

        public override double FromScene(double light) => TransferFunctions.PqFromLinear(light);

        public override DisplayRgb ToDisplay(CodeRgb code) => new(
            ToReference * TransferFunctions.PqToLinear(code.R),
            ToReference * TransferFunctions.PqToLinear(code.G),
            ToReference * TransferFunctions.PqToLinear(code.B));

        public override CodeRgb FromDisplay(DisplayRgb light) => new(
            TransferFunctions.PqFromLinear(light.R / ToReference),
            TransferFunctions.PqFromLinear(light.G / ToReference),
            TransferFunctions.PqFromLinear(light.B / ToReference));
    }

    private sealed class Cct() : SignalEncoding("acescct", "ACEScct", RgbPrimaries.Ap1)
    {
        public override double ToScene(double code) => TransferFunctions.AcesCctToLinear(code);

        public override double FromScene(double light) => TransferFunctions.AcesCctFromLinear(light);

        public override DisplayRgb ToDisplay(CodeRgb code) => new(
            TransferFunctions.AcesCctToLinear(code.R),
            TransferFunctions.AcesCctToLinear(code.G),
            TransferFunctions.AcesCctToLinear(code.B));

        public override CodeRgb FromDisplay(DisplayRgb light) => new(
            TransferFunctions.AcesCctFromLinear(light.R),
            TransferFunctions.AcesCctFromLinear(light.G),
            TransferFunctions.AcesCctFromLinear(light.B));
    }
}
