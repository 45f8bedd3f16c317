using System.Collections.Immutable;
using MathNet.Numerics.LinearAlgebra;
using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Testing.Simulation;

/// <summary>
/// Pairs of cameras from measured sensitivities, lights and reflectances. A camera integrates light times reflectance
/// times sensitivity, is white-balanced, goes through the 3x3 matrix that its maker would choose (least squares to
/// BT.709 light under D55 over the Academy's 190 reflectances, white kept), is exposed, and rendered.
/// </summary>
public sealed class SimulatedCameras
{
    private const int Row = 6; // patches of the chart

    private readonly ImmutableArray<(string Name, double[][] Sensitivity)> _cameras;
    private readonly ImmutableArray<(string Name, double[] Power)> _lights;
    private readonly ImmutableArray<double[]> _chart;
    private readonly ImmutableArray<double[]> _scored;
    private readonly ImmutableArray<double[]> _training;
    private readonly ImmutableArray<double[]> _observer;
    private readonly double[] _daylight;
    private readonly double[] _d65;

    private SimulatedCameras(string folder, bool second)
    {
        Spectra Table(string name) => Spectra.Read(Path.Combine(folder, name + ".csv"));
        Spectra sensitivities = Table(second ? "camera-sensitivities-400-700" : "camera-sensitivities");
        _cameras =
        [
            .. sensitivities.Items.Chunk(3).Select(c =>
                (c[0].Name[..^2], (double[][])[c[0].Values, c[1].Values, c[2].Values])),
        ];
        Spectra lights = Table("illuminants");
        _daylight = lights.Items.First(i => i.Name == "D55").Values;
        _d65 = lights.Items.First(i => i.Name == "D65").Values;

        // Sodium and mercury lamps are left out: nobody films an event to be matched under them.
        IEnumerable<(string Name, double[])> usable = lights.Items.Concat(Table("lamps-commercial").Items.Where((_, i) => i % 2 == (second ? 1 : 0)))
            .Where(l => !l.Name.Contains("Sodium", StringComparison.Ordinal) && !l.Name.Contains("HPS", StringComparison.Ordinal)
                && !l.Name.Contains("Mercury", StringComparison.Ordinal) && !l.Name.StartsWith("HP", StringComparison.Ordinal)
                && !l.Name.Contains("LPS", StringComparison.Ordinal));
        _lights = [.. usable];
        _chart = [.. Table("chart24-reflectances").Items.Select(i => i.Values)];
        _training = [.. Table("reflectances-190").Items.Select(i => i.Values)];
        _scored = [.. Table("reflectances-objects").Items.Concat(Table("reflectances-munsell-matte").Items).Select(i => i.Values)];
        _observer = [.. Table("cie1931-2deg-cmf").Items.Select(i => i.Values)];
    }

    /// <summary>How many things are scored.</summary>
    public int ScoredCount => _scored.Length;

    /// <summary>Reads the spectra.</summary>
    /// <param name="folder">The shared folder 'spectra'.</param>
    /// <param name="second">
    /// False: 26 cameras and half of the lamps, on which the fit's constants were chosen. True: 24 measurements of other
    /// cameras, phones among them, and the other half of the lamps.
    /// </param>
    public static SimulatedCameras Read(string folder, bool second) => new(folder, second);

    /// <summary>Pair number <paramref name="seed"/>: always the same for the same number.</summary>
    public SimulatedPair Pair(int seed)
    {
        Random random = new(1000 + seed);
        int a = random.Next(_cameras.Length), b = (a + 1 + random.Next(_cameras.Length - 1)) % _cameras.Length;
        (string lightName, double[] light) = _lights[random.Next(_lights.Length)];

        // Every combination of the families in turn; strengths and errors at random.
        Rendering primary = new((RenderingFamily)(seed % 5), 0.5 + (0.5 * random.NextDouble()), 2 * Math.PI * random.NextDouble());
        Rendering secondary = new((RenderingFamily)(seed / 5 % 5), 0.5 + (0.5 * random.NextDouble()), 2 * Math.PI * random.NextDouble());
        Func<double[], CodeRgb> primaryCamera = Camera(a, light, primary, random, error: 0.3);
        Func<double[], CodeRgb> secondaryCamera = Camera(b, light, secondary, random, error: 1);
        const double noise = 0.002;
        ImmutableArray<SamplePair> chart =
        [
            .. _chart.Select((r, i) => Patch(i, Record(primaryCamera(r), noise, random), Record(secondaryCamera(r), noise, random))),
        ];
        return new SimulatedPair(
            $"{_cameras[a].Name} {primary.Family} | {_cameras[b].Name} {secondary.Family} | {lightName}",
            primary,
            secondary,
            new SampleSet(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Chart, chart),
            [.. _scored.Select(primaryCamera)],
            [.. _scored.Select(secondaryCamera)])
        {
            CleanChart = new SampleSet(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Chart,
                [.. _chart.Select((r, i) => Patch(i, primaryCamera(r), secondaryCamera(r)))]),
            UnevenChart = size => new SampleSet(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Chart,
                [.. Uneven(size, seed).Select((f, i) => Patch(
                    i, Record(primaryCamera(_chart[i]), noise, random), Record(secondaryCamera([.. _chart[i].Select(r => f * r)]), noise, random)))]),
        };
    }

    // Six patches a row, 100 pixels apart.
    private static SamplePair Patch(int i, CodeRgb primary, CodeRgb secondary)
    {
        SamplePlace place = new(100 * (i % Row), 100 * (i / Row), 60, 60);
        return new SamplePair($"patch-{i + 1:D2}", $"patch-{i + 1:D2}", primary, secondary) { Origin = new SampleOrigin(0, 0, place, place) };
    }

    // Factors on the light of 24 patches: the logarithm is a surface of second degree with normal coefficients.
    private static double[] Uneven(double size, int seed)
    {
        Random random = new(seed);
        double[] c = [.. Enumerable.Range(0, 5).Select(_ => size * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble()))];
        return [.. Enumerable.Range(0, 24).Select(i =>
        {
            double x = ((i % Row) - 2.5) / 2.5, y = ((i / Row) - 1.5) / 2.5;
            return Math.Exp((c[0] * x) + (c[1] * y) + (c[2] * x * x) + (c[3] * y * y) + (c[4] * x * y));
        })];
    }

    /// <summary>Noise, then 8-bit narrow range Y'CbCr (BT.709) and back, clipped to 0..1.</summary>
    public static CodeRgb Record(CodeRgb c, double noise, Random random)
    {
        double Normal() => noise * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        double r = c.R + Normal(), g = c.G + Normal(), b = c.B + Normal();
        double y = (0.2126 * r) + (0.7152 * g) + (0.0722 * b);
        double cb = (b - y) / 1.8556, cr = (r - y) / 1.5748;
        y = Math.Clamp(Math.Round(219 * y), -15, 238) / 219;
        cb = Math.Clamp(Math.Round(224 * cb), -127, 126) / 224;
        cr = Math.Clamp(Math.Round(224 * cr), -127, 126) / 224;
        double red = y + (1.5748 * cr), blue = y + (1.8556 * cb);
        return new CodeRgb(red, (y - (0.2126 * red) - (0.0722 * blue)) / 0.7152, blue).Clamped();
    }

    private Func<double[], CodeRgb> Camera(int index, double[] light, Rendering rendering, Random random, double error)
    {
        double[][] s = _cameras[index].Sensitivity;
        double[] white = [.. Enumerable.Repeat(1.0, Spectra.Count)];
        double[] underDaylight = Integrate(s, _daylight, white), underLight = Integrate(s, light, white);
        Matrix<double> toBt709 = MakersMatrix(s, underDaylight);

        // White at 0.85 of the signal's light; exposure and white balance missed by so much (standard deviations).
        double Miss(double size) => Math.Pow(2, error * size * ((2 * random.NextDouble()) - 1));
        double exposure = 0.85 * Miss(0.5), red = exposure * Miss(0.2), blue = exposure * Miss(0.25);
        return reflectance =>
        {
            double[] raw = Integrate(s, light, reflectance);
            Vector<double> balanced = Vector<double>.Build.Dense([
                red * raw[0] / underLight[0], exposure * raw[1] / underLight[1], blue * raw[2] / underLight[2]]);
            Vector<double> rgb = toBt709 * balanced;
            return rendering.Apply(rgb[0], rgb[1], rgb[2]);
        };
    }

    private Matrix<double> MakersMatrix(double[][] s, double[] white)
    {
        Matrix3 xyzToRgb = SignalEncoding.Bt709.XyzToRgb;
        double[] one = [.. Enumerable.Repeat(1.0, Spectra.Count)];
        double scale = Integrate([.. _observer], _d65, one)[1];
        Matrix<double> xx = Matrix<double>.Build.Dense(3, 3), xy = Matrix<double>.Build.Dense(3, 3);
        void Add(double[] reflectance, double weight)
        {
            double[] raw = Integrate(s, _daylight, reflectance), xyz = Integrate([.. _observer], _d65, reflectance);
            double[] x = [raw[0] / white[0], raw[1] / white[1], raw[2] / white[2]];
            (double r, double g, double b) = xyzToRgb.Times(xyz[0] / scale, xyz[1] / scale, xyz[2] / scale);
            double[] y = [r, g, b];
            for (int i = 0; i < 3; i++)
            {
                for (int j = 0; j < 3; j++)
                {
                    xx[i, j] += weight * x[i] * x[j];
                    xy[i, j] += weight * x[i] * y[j];
                }
            }
        }

        foreach (double[] r in _training)
        {
            Add(r, 1);
        }

        Add(one, 1e4); // white is kept
        return xx.Cholesky().Solve(xy).Transpose();
    }

    private static double[] Integrate(double[][] curves, double[] light, double[] reflectance)
    {
        double[] sum = new double[3];
        for (int c = 0; c < 3; c++)
        {
            for (int i = 0; i < Spectra.Count; i++)
            {
                sum[c] += curves[c][i] * light[i] * reflectance[i];
            }
        }

        return sum;
    }
}
