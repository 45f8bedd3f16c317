using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Formats.Cdl;

/// <summary>One ASC CDL v1.2 correction as stored in a file: ten numbers and descriptions.</summary>
public sealed record CdlNumbers
{
    /// <summary>Makes a correction from its ten numbers.</summary>
    /// <param name="slope">Factors, 0 or more.</param>
    /// <param name="offset">Added after the factor, any finite value.</param>
    /// <param name="power">Exponents, above 0.</param>
    /// <param name="saturation">0 is grey, 1 unchanged; 0 or more.</param>
    /// <exception cref="ArgumentException">A number is not finite or outside its range.</exception>
    public CdlNumbers(
        (double R, double G, double B) slope,
        (double R, double G, double B) offset,
        (double R, double G, double B) power,
        double saturation)
    {
        if (!(slope.R >= 0 && slope.G >= 0 && slope.B >= 0 && IsFinite(slope)))
        {
            throw new ArgumentException("Slope must be 0 or more", nameof(slope));
        }

        if (!IsFinite(offset))
        {
            throw new ArgumentException("Offset must be finite", nameof(offset));
        }

        if (!(power.R > 0 && power.G > 0 && power.B > 0 && IsFinite(power)))
        {
            throw new ArgumentException("Power must be above 0", nameof(power));
        }

        if (!(saturation >= 0 && double.IsFinite(saturation)))
        {
            throw new ArgumentException("Saturation must be 0 or more", nameof(saturation));
        }

        (Slope, Offset, Power, Saturation) = (slope, offset, power, saturation);
    }

    /// <summary>
    /// The numbers of a fitted correction. A CDL acts directly on code values: if the two encodings differ, the
    /// secondary must be converted to the primary's encoding first, which a CDL file cannot express.
    /// </summary>
    public static CdlNumbers Of(CdlCorrection correction, string? id = null, string? description = null)
    {
        ArgumentNullException.ThrowIfNull(correction);
        return new CdlNumbers(Numbers(correction.Slope), Numbers(correction.Offset), Numbers(correction.Power), correction.Saturation)
        {
            Id = id,
            Description = description,
        };

        static (double R, double G, double B) Numbers(PerChannel c) => (c.R, c.G, c.B);
    }

    /// <summary>These numbers as a correction between two encodings.</summary>
    public CdlCorrection ToCorrection(SignalEncoding secondaryEncoding, SignalEncoding primaryEncoding) => new(
        secondaryEncoding,
        primaryEncoding,
        Triple(Slope),
        Triple(Offset),
        Triple(Power),
        Saturation);

    /// <summary>The correction that changes nothing inside 0..1.</summary>
    public static CdlNumbers Identity { get; } = new((1, 1, 1), (0, 0, 0), (1, 1, 1), 1);

    /// <summary>Factors, 0 or more.</summary>
    public (double R, double G, double B) Slope { get; }

    /// <summary>Added after the factor.</summary>
    public (double R, double G, double B) Offset { get; }

    /// <summary>Exponents, above 0.</summary>
    public (double R, double G, double B) Power { get; }

    /// <summary>0 is grey, 1 unchanged.</summary>
    public double Saturation { get; }

    /// <summary>The id in the file.</summary>
    public string? Id { get; init; }

    /// <summary>The file's description; several descriptions are separated by line ends.</summary>
    public string? Description { get; init; }

    /// <summary>
    /// One colour. ASC CDL v1.2 clamps to 0..1 before the power and at the end; <paramref name="clamp"/> false omits
    /// that (values below 0 pass the power unchanged), as for scene-linear data.
    /// </summary>
    public CodeRgb Apply(CodeRgb code, bool clamp = true) =>
        CdlCorrection.Apply(code, Triple(Slope), Triple(Offset), Triple(Power), Saturation, clamp);

    /// <summary>The inverse of <see cref="Apply"/> where no clamp was reached.</summary>
    /// <exception cref="InvalidOperationException">A slope or the saturation is 0 and has no inverse.</exception>
    public CodeRgb ApplyInverse(CodeRgb code, bool clamp = true)
    {
        if (!HasInverse)
        {
            throw new InvalidOperationException("A slope or saturation of 0 cannot be undone.");
        }

        CodeRgb inside = clamp ? code.Clamped() : code;
        CodeRgb unsaturated = CdlCorrection.Saturate(inside, 1 / Saturation);
        CodeRgb result = new(
            Back(unsaturated.R, Slope.R, Offset.R, Power.R, clamp),
            Back(unsaturated.G, Slope.G, Offset.G, Power.G, clamp),
            Back(unsaturated.B, Slope.B, Offset.B, Power.B, clamp));
        return clamp ? result.Clamped() : result;
    }

    /// <summary>Whether neither a slope nor the saturation is 0.</summary>
    public bool HasInverse => Slope.R > 0 && Slope.G > 0 && Slope.B > 0 && Saturation > 0;

    private static double Back(double x, double slope, double offset, double power, bool clamp)
    {
        double v = clamp ? Math.Clamp(x, 0, 1) : x;
        return ((v < 0 ? v : Math.Pow(v, 1 / power)) - offset) / slope;
    }

    private static PerChannel Triple((double R, double G, double B) v) => new(v.R, v.G, v.B);

    private static bool IsFinite((double R, double G, double B) v) =>
        double.IsFinite(v.R) && double.IsFinite(v.G) && double.IsFinite(v.B);
}
