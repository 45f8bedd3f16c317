using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting.Models;

/// <summary>The nine numbers of the matrix, row by row.</summary>
/// <param name="samples">Their least-squares gains say how large the numbers of a row are expected to be.</param>
internal sealed class MatrixModel(FitSamples samples) : ParametricModel
{
    // Expected standard deviations, in units of the row's gain: a secondary two stops under must not be held to a gain of 1.
    private const double Gain = 1;
    private const double Mixing = 0.2;

    private readonly PerChannel _gains = ClosedForm.Gains(samples);

    public override int ParameterCount => 9;

    public override bool GivesLight => true;

    public override double[] Start(FitSamples samples)
    {
        Matrix3 m = ClosedForm.Matrix(samples);
        return [m.M11, m.M12, m.M13, m.M21, m.M22, m.M23, m.M31, m.M32, m.M33];
    }

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        dy[..27].Clear();
        for (int r = 0; r < 3; r++)
        {
            y[r] = (p[3 * r] * pair.Light.R) + (p[(3 * r) + 1] * pair.Light.G) + (p[(3 * r) + 2] * pair.Light.B);
            dy[(9 * r) + (3 * r)] = pair.Light.R;
            dy[(9 * r) + (3 * r) + 1] = pair.Light.G;
            dy[(9 * r) + (3 * r) + 2] = pair.Light.B;
        }
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples) => new MatrixCorrection(
        samples.SecondaryEncoding, samples.PrimaryEncoding, new Matrix3(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], p[8]));

    public override void Prior(Span<double> centre, Span<double> precision)
    {
        for (int j = 0; j < 9; j++)
        {
            double gain = _gains[j / 3];
            bool diagonal = j % 4 == 0;
            centre[j] = diagonal ? gain : 0;
            precision[j] = 1 / ((diagonal ? Gain : Mixing) * gain);
        }
    }
}
