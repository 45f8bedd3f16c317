using Tonematch.Colour;

namespace Tonematch.Formats.Clf;

/// <summary>A power function per channel, in one of ten styles.</summary>
public sealed record ClfExponent : ClfNode
{
    private readonly Curve _r;
    private readonly Curve _g;
    private readonly Curve _b;

    /// <summary>Makes the step.</summary>
    /// <param name="style">The function.</param>
    /// <param name="exponent">0.01..100 for the basic styles, 1..10 for the monCurve styles.</param>
    /// <param name="offset">0..0.9, for the monCurve styles only.</param>
    /// <exception cref="ArgumentException">A number is outside its range, in a sentence.</exception>
    public ClfExponent(
        ClfExponentStyle style, (double R, double G, double B) exponent, (double R, double G, double B) offset = default)
    {
        (Style, Exponent, Offset) = (style, exponent, offset);
        _r = new Curve(style, exponent.R, offset.R);
        _g = new Curve(style, exponent.G, offset.G);
        _b = new Curve(style, exponent.B, offset.B);
    }

    /// <summary>The function.</summary>
    public ClfExponentStyle Style { get; }

    /// <summary>The exponents.</summary>
    public (double R, double G, double B) Exponent { get; }

    /// <summary>The offsets of the monCurve styles.</summary>
    public (double R, double G, double B) Offset { get; }

    /// <summary>Whether the style has an offset.</summary>
    public bool IsMonCurve => Style >= ClfExponentStyle.MonCurveFwd;

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb code) => new(_r.At(code.R), _g.At(code.G), _b.At(code.B));

    // One channel. The straight part of a monCurve meets the power where their slopes agree:
    // break = offset / (exponent - 1), slope = (e - 1) / o * (o e / ((e - 1) (1 + o)))^e.
    private readonly struct Curve
    {
        private readonly ClfExponentStyle _style;
        private readonly double _exponent;
        private readonly double _offset;
        private readonly double _break;
        private readonly double _slope;

        public Curve(ClfExponentStyle style, double exponent, double offset)
        {
            bool monCurve = style >= ClfExponentStyle.MonCurveFwd;
            if (monCurve && !(exponent is >= 1 and <= 10 && offset is >= 0 and <= 0.9))
            {
                throw new ArgumentException("A monCurve style needs an exponent from 1 to 10 and an offset from 0 to 0.9");
            }

            if (!monCurve && !(exponent is >= 0.01 and <= 100 && offset == 0))
            {
                throw new ArgumentException("A basic style needs an exponent from 0.01 to 100 and no offset");
            }

            (_style, _exponent, _offset) = (style, exponent, offset);
            double e = exponent, o = offset;
            (_break, _slope) = !monCurve ? (0, 0)
                : e == 1 ? (double.PositiveInfinity, 1 / (1 + o)) // the straight part never ends
                : o == 0 ? (0, 0) // the power reaches black with slope 0
                : (o / (e - 1), (e - 1) / o * Math.Pow(o * e / ((e - 1) * (1 + o)), e));
        }

        public double At(double x) => _style switch
        {
            ClfExponentStyle.BasicFwd => Math.Pow(Math.Max(0, x), _exponent),
            ClfExponentStyle.BasicRev => Math.Pow(Math.Max(0, x), 1 / _exponent),
            ClfExponentStyle.BasicMirrorFwd => Math.CopySign(Math.Pow(Math.Abs(x), _exponent), x),
            ClfExponentStyle.BasicMirrorRev => Math.CopySign(Math.Pow(Math.Abs(x), 1 / _exponent), x),
            ClfExponentStyle.BasicPassThruFwd => x > 0 ? Math.Pow(x, _exponent) : x,
            ClfExponentStyle.BasicPassThruRev => x > 0 ? Math.Pow(x, 1 / _exponent) : x,
            ClfExponentStyle.MonCurveFwd => Forward(x),
            ClfExponentStyle.MonCurveRev => Back(x),
            ClfExponentStyle.MonCurveMirrorFwd => Math.CopySign(Forward(Math.Abs(x)), x),
            _ => Math.CopySign(Back(Math.Abs(x)), x),
        };

        private double Forward(double x) =>
            x >= _break ? Math.Pow((x + _offset) / (1 + _offset), _exponent) : x * _slope;

        private double Back(double y)
        {
            bool straight = double.IsPositiveInfinity(_break) || y < _break * _slope;
            return !straight ? (Math.Pow(Math.Max(0, y), 1 / _exponent) * (1 + _offset)) - _offset
                : _slope > 0 ? y / _slope : 0;
        }
    }
}
