using Tonematch.Colour;

namespace Tonematch.Formats.Clf;

/// <summary>A logarithm or its inverse per channel.</summary>
public sealed record ClfLog : ClfNode
{
    // The smallest normal float: the lower limit of a logarithm's argument, so that black stays finite.
    private const double SmallestArgument = 1.17549435e-38;

    private readonly Curve _r;
    private readonly Curve _g;
    private readonly Curve _b;

    /// <summary>Makes the step.</summary>
    /// <param name="style">The function.</param>
    /// <param name="r">Red's parameters; the four simplest styles have fixed ones.</param>
    /// <param name="g">Green's parameters.</param>
    /// <param name="b">Blue's parameters.</param>
    /// <exception cref="ArgumentException">A number is not allowed, in a sentence.</exception>
    public ClfLog(ClfLogStyle style, ClfLogParameters? r = null, ClfLogParameters? g = null, ClfLogParameters? b = null)
    {
        double fixedBase = style is ClfLogStyle.Log10 or ClfLogStyle.AntiLog10 ? 10 : 2;
        ClfLogParameters missing = new(Base: fixedBase);
        if (style <= ClfLogStyle.AntiLog2 && ((r ?? missing) != missing || (g ?? missing) != missing || (b ?? missing) != missing))
        {
            throw new ArgumentException("The styles log10, log2 and their inverses have no LogParams");
        }

        (Style, R, G, B) = (style, r ?? missing, g ?? missing, b ?? missing);
        _r = new Curve(style, R);
        _g = new Curve(style, G);
        _b = new Curve(style, B);
    }

    /// <summary>The function.</summary>
    public ClfLogStyle Style { get; }

    /// <summary>Red's parameters.</summary>
    public ClfLogParameters R { get; }

    /// <summary>Green's parameters.</summary>
    public ClfLogParameters G { get; }

    /// <summary>Blue's parameters.</summary>
    public ClfLogParameters B { get; }

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb code) => new(_r.At(code.R), _g.At(code.G), _b.At(code.B));

    private readonly struct Curve
    {
        private readonly ClfLogParameters _p;
        private readonly double _lnBase;
        private readonly bool _isInverse;
        private readonly double _linearSlope;
        private readonly double _linearOffset;
        private readonly double _linBreak;
        private readonly double _logBreak;

        public Curve(ClfLogStyle style, ClfLogParameters p)
        {
            if (!(p.Base > 0) || p.Base == 1 || p.LogSideSlope == 0 || p.LinSideSlope == 0)
            {
                throw new ArgumentException("A Log needs a base above 0 that is not 1, and slopes that are not 0");
            }

            bool camera = style >= ClfLogStyle.CameraLinToLog;
            if (camera != (p.LinSideBreak is not null) || (p.LinearSlope is not null && !camera))
            {
                throw new ArgumentException(camera
                    ? "A camera style of Log needs a linSideBreak"
                    : "linSideBreak and linearSlope belong to the camera styles of Log only");
            }

            _p = p;
            _lnBase = Math.Log(p.Base);
            _isInverse = style is ClfLogStyle.AntiLog10 or ClfLogStyle.AntiLog2 or ClfLogStyle.LogToLin or ClfLogStyle.CameraLogToLin;
            (_linBreak, _logBreak) = (double.NegativeInfinity, double.NegativeInfinity);
            if (p.LinSideBreak is { } linBreak)
            {
                double argument = (p.LinSideSlope * linBreak) + p.LinSideOffset;
                if (!(argument > 0))
                {
                    throw new ArgumentException("A Log's linSideBreak lies where the logarithm has no value");
                }

                _linearSlope = p.LinearSlope ?? (p.LogSideSlope * p.LinSideSlope / (argument * _lnBase));
                if (_linearSlope == 0)
                {
                    throw new ArgumentException("A Log's linearSlope must not be 0");
                }

                _logBreak = (p.LogSideSlope * Math.Log(argument) / _lnBase) + p.LogSideOffset;
                _linearOffset = _logBreak - (_linearSlope * linBreak);
                _linBreak = linBreak;
            }
        }

        public double At(double x)
        {
            if (_isInverse)
            {
                return x < _logBreak
                    ? (x - _linearOffset) / _linearSlope
                    : (Math.Exp((x - _p.LogSideOffset) / _p.LogSideSlope * _lnBase) - _p.LinSideOffset) / _p.LinSideSlope;
            }

            return x < _linBreak
                ? (_linearSlope * x) + _linearOffset
                : (_p.LogSideSlope * Math.Log(Math.Max(SmallestArgument, (_p.LinSideSlope * x) + _p.LinSideOffset)) / _lnBase) + _p.LogSideOffset;
        }
    }
}
