using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting.Models;

/// <summary>Parameters: the nine numbers of the matrix, row by row, and the three of the veil.</summary>
/// <param name="samples">Their least-squares gains set the expected size of each row's numbers.</param>
internal sealed class MatrixModel(FitSamples samples) : ParametricModel
{
    // Expected standard deviations, in units of the row's gain: a secondary underexposed by two stops must not be
    // pulled towards a gain of 1.
    private const double Gain = 1;
    private const double Mixing = 0.2;

    // For the veil, where white is 1: from memory, lenses scatter one to a few hundredths of white; ISO 9358 defines
    // the measurement.
    private const double Veil = 0.02;

    private const int VeilAt = 9;

    private readonly PerChannel _gains = ClosedForm.Gains(samples);

    public override int ParameterCount => VeilAt + 3;

    public override bool GivesLight => true;

    public override double[] Start(FitSamples samples)
    {
        Matrix3 m = ClosedForm.Matrix(samples);
        return [m.M11, m.M12, m.M13, m.M21, m.M22, m.M23, m.M31, m.M32, m.M33, 0, 0, 0];
    }

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        const int n = VeilAt + 3;
        dy[..(3 * n)].Clear();
        for (int r = 0; r < 3; r++)
        {
            y[r] = (p[3 * r] * pair.Light.R) + (p[(3 * r) + 1] * pair.Light.G) + (p[(3 * r) + 2] * pair.Light.B) + p[VeilAt + r];
            dy[(n * r) + (3 * r)] = pair.Light.R;
            dy[(n * r) + (3 * r) + 1] = pair.Light.G;
            dy[(n * r) + (3 * r) + 2] = pair.Light.B;
            dy[(n * r) + VeilAt + r] = 1;
        }
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples) => new MatrixCorrection(
        samples.SecondaryEncoding, samples.PrimaryEncoding, new Matrix3(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], p[8]))
    {
        Veil = new SceneRgb(p[VeilAt], p[VeilAt + 1], p[VeilAt + 2]),
    };

    public override void Prior(Span<double> centre, Span<double> precision)
    {
        for (int j = 0; j < VeilAt; j++)
        {
            double gain = _gains[j / 3];
            bool diagonal = j % 4 == 0;
            centre[j] = diagonal ? gain : 0;
            precision[j] = 1 / ((diagonal ? Gain : Mixing) * gain);
        }

        centre[VeilAt..].Clear();
        precision[VeilAt..].Fill(1 / Veil);
    }
}
