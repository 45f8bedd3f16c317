using Tonematch.Colour;

namespace Tonematch.Formats.Clf;

/// <summary>
/// A straight line through two points, the same in each channel, clamped at the points unless <see cref="Clamps"/> is
/// false. With only one point, the value is clamped there and otherwise unchanged.
/// </summary>
public sealed record ClfRange : ClfNode
{
    // After normalisation, in and out of a single point must be equal.
    private const double SamePoint = 1e-6;

    private readonly double _scale = 1;
    private readonly double _offset;

    /// <summary>Makes the step from the lower and the upper point, each as value in and value out; one may be missing.</summary>
    /// <exception cref="ArgumentException">The specification forbids these values; the message says why.</exception>
    public ClfRange((double In, double Out)? low, (double In, double Out)? high, bool clamps = true)
    {
        if (low is null && high is null)
        {
            throw new ArgumentException("A Range must have at least one pair of values");
        }

        if (!clamps && (low is null || high is null))
        {
            throw new ArgumentException("A Range of style noClamp must have all four values");
        }

        if (low is { } l && high is { } h)
        {
            if (!(h.In > l.In) || h.Out < l.Out)
            {
                throw new ArgumentException("The values of a Range must rise");
            }

            _scale = (h.Out - l.Out) / (h.In - l.In);
            _offset = l.Out - (_scale * l.In);
        }
        else if ((low ?? high) is { } only && Math.Abs(only.In - only.Out) > SamePoint * Math.Max(1, Math.Abs(only.In)))
        {
            throw new ArgumentException("With one pair only, a Range must have the same value in and out");
        }

        (Low, High, Clamps) = (low, high, clamps);
    }

    /// <summary>The lower point.</summary>
    public (double In, double Out)? Low { get; }

    /// <summary>The upper point.</summary>
    public (double In, double Out)? High { get; }

    /// <summary>Whether values beyond the points are clamped to them.</summary>
    public bool Clamps { get; }

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb code) => new(Channel(code.R), Channel(code.G), Channel(code.B));

    private double Channel(double x)
    {
        double y = (x * _scale) + _offset;
        return !Clamps ? y : Math.Max(Low?.Out ?? double.MinValue, Math.Min(High?.Out ?? double.MaxValue, y));
    }
}
