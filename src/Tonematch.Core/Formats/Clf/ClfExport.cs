using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Formats.Cdl;
using Tonematch.Luts.Tables;

namespace Tonematch.Formats.Clf;

/// <summary>A correction as a CLF process list, and the error of that list.</summary>
/// <param name="File">The process list: exact steps where CLF has them, otherwise a 3D table.</param>
/// <param name="Difference">The difference between the list and the correction, over 0..1.</param>
public sealed record ClfExport(ClfFile File, LutDifference Difference)
{
    // Steps count as exact up to this code difference: a tenth of a 10-bit code.
    private const double ExactCode = 1e-4;

    // Alpha and beta of BT.709 and BT.2020 satisfy the condition by which a monCurve derives its straight part (equal
    // value and slope at the break), so the curve is exact with offset alpha - 1. sRGB's printed constants do not: its
    // break is slightly different, and the curve differs by less than 1e-4.
    private const double Bt709Offset = 0.09929682680944;
    private const double Bt709Exponent = 1 / 0.45;
    private const double SrgbOffset = 0.055;
    private const double SrgbExponent = 2.4;

    // [S-2016-001]: the straight part's slope follows from the break, as CLF derives it.
    private static readonly ClfLogParameters s_acesCct = new(
        Base: 2, LogSideSlope: 1 / TransferFunctions.CctLogScale, LogSideOffset: TransferFunctions.CctLogOffset / TransferFunctions.CctLogScale,
        LinSideBreak: TransferFunctions.CctBreak);

    /// <summary>Whether the steps are the correction itself, not a table.</summary>
    public bool IsExact => File.Nodes.All(n => n is not ClfLut3D);

    /// <summary>Makes the process list.</summary>
    /// <param name="correction">The correction to export.</param>
    /// <param name="lutSize">Nodes per side if a table is needed, 2..129.</param>
    public static ClfExport Of(Correction correction, int lutSize = LutBaker.DefaultSize)
    {
        ArgumentNullException.ThrowIfNull(correction);
        if (ExactSteps(correction) is { } steps)
        {
            ClfExport exact = With(correction, steps, lutSize);
            if (exact.Difference.MaxCode <= ExactCode)
            {
                return exact;
            }
        }

        return With(correction, [new ClfLut3D(LutBaker.Bake(correction, lutSize))], lutSize);
    }

    private static ClfExport With(Correction correction, ImmutableArray<ClfNode> steps, int lutSize)
    {
        ClfFile file = new(steps)
        {
            Description = $"Colour match: kind {correction.Kind.Name()}",
            InputDescriptor = $"Camera B, {correction.SecondaryEncoding.Title}",
            OutputDescriptor = $"Like camera A, {correction.PrimaryEncoding.Title}",
        };
        return new ClfExport(file, LutComparison.Compare(correction.Apply, file.Apply, correction.PrimaryEncoding, lutSize));
    }

    private static ImmutableArray<ClfNode>? ExactSteps(Correction correction)
    {
        bool sameEncoding = correction.SecondaryEncoding == correction.PrimaryEncoding;
        return correction switch
        {
            IdentityCorrection when sameEncoding => [new ClfMatrix(Matrix3.Identity)],
            GainsCorrection gains => InLight(gains, Matrix3.Diagonal(gains.R, gains.G, gains.B)),
            MatrixCorrection matrix => InLight(matrix, matrix.Matrix, matrix.Veil),
            CdlCorrection cdl when sameEncoding => [new ClfAscCdl(CdlNumbers.Of(cdl))],
            LiftGammaGainCorrection l when sameEncoding && HasExponent(l.Gamma.R) && HasExponent(l.Gamma.G) && HasExponent(l.Gamma.B) =>
            [
                new ClfMatrix(
                    Matrix3.Diagonal(l.Gain.R - l.Lift.R, l.Gain.G - l.Lift.G, l.Gain.B - l.Lift.B),
                    new CodeRgb(l.Lift.R, l.Lift.G, l.Lift.B)),
                new ClfExponent(ClfExponentStyle.BasicMirrorRev, (l.Gamma.R, l.Gamma.G, l.Gamma.B)),
            ],
            _ => null,
        };

        static bool HasExponent(double gamma) => gamma is >= 0.01 and <= 100;
    }

    private static ImmutableArray<ClfNode>? InLight(Correction correction, Matrix3 matrix, SceneRgb added = default)
    {
        SignalEncoding secondary = correction.SecondaryEncoding, primary = correction.PrimaryEncoding;
        Matrix3 inPrimaries = secondary.Primaries == primary.Primaries
            ? matrix
            : matrix * (primary.XyzToRgb * secondary.RgbToXyz);
        return CameraCurve(secondary, toLight: true) is { } toLight
            && CameraCurve(primary, toLight: false) is { } fromLight
            ?
            [
                toLight with { Description = "code values to light" },
                new ClfMatrix(inPrimaries, new CodeRgb(added.R, added.G, added.B)),
                fromLight with { Description = "light to code values" },
            ]
            : null;
    }

    private static ClfNode? CameraCurve(SignalEncoding encoding, bool toLight)
    {
        if (encoding == SignalEncoding.AcesCct)
        {
            return new ClfLog(toLight ? ClfLogStyle.CameraLogToLin : ClfLogStyle.CameraLinToLog, s_acesCct, s_acesCct, s_acesCct);
        }

        (double exponent, double offset) = encoding == SignalEncoding.Bt709 || encoding == SignalEncoding.Bt2020
            ? (Bt709Exponent, Bt709Offset)
            : encoding == SignalEncoding.Srgb || encoding == SignalEncoding.DisplayP3 ? (SrgbExponent, SrgbOffset) : default;
        return exponent > 0
            ? new ClfExponent(
                toLight ? ClfExponentStyle.MonCurveMirrorFwd : ClfExponentStyle.MonCurveMirrorRev, (exponent, exponent, exponent), (offset, offset, offset))
            : null;
    }
}
