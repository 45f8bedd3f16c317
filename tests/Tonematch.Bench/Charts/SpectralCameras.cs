using System.Globalization;
using MathNet.Numerics.LinearAlgebra;
using Tonematch.Colour;
using Tonematch.Testing;

namespace Tonematch.Bench.Charts;

/// <summary>
/// What cameras of measured sensitivities record of the 24 measured patches under measured lights, through a white
/// balance, a colour matrix and a picture style.
/// </summary>
internal sealed class SpectralCameras
{
    private readonly double[][] _reflectances;
    private readonly List<double[][]> _cameras = [];
    private readonly List<double[]> _lights = [];
    private readonly double[][] _observer;

    public SpectralCameras(string spectra)
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> patches = CsvTable.Read(Path.Combine(spectra, "chart24-reflectances.csv"));
        _reflectances = [.. patches[0].Keys.Where(k => k != "wavelength_nm").Select(k => Column(patches, k))];
        IReadOnlyList<IReadOnlyDictionary<string, string>> cameras = CsvTable.Read(Path.Combine(spectra, "camera-sensitivities.csv"));
        foreach (string name in cameras[0].Keys.Where(k => k.EndsWith(":R", StringComparison.Ordinal)).Select(k => k[..^2]))
        {
            _cameras.Add([Column(cameras, name + ":R"), Column(cameras, name + ":G"), Column(cameras, name + ":B")]);
        }

        foreach (string file in (string[])["illuminants.csv", "lamps-commercial.csv"])
        {
            IReadOnlyList<IReadOnlyDictionary<string, string>> lights = CsvTable.Read(Path.Combine(spectra, file));
            _lights.AddRange(lights[0].Keys.Where(k => k != "wavelength_nm").Select(k => Column(lights, k)).Where(l => l.All(double.IsFinite)));
        }

        IReadOnlyList<IReadOnlyDictionary<string, string>> cmf = CsvTable.Read(Path.Combine(spectra, "cie1931-2deg-cmf.csv"));
        _observer = [.. cmf[0].Keys.Where(k => k != "wavelength_nm").Take(3).Select(k => Column(cmf, k))];
    }

    /// <summary>24 colours, sRGB code values, as a random camera of a random style records them in a random light.</summary>
    public CodeRgb[] Shoot(Random random)
    {
        double[][] camera = _cameras[random.Next(_cameras.Count)];
        double[] light = _lights[random.Next(_lights.Count)];
        double[][] raw = [.. _reflectances.Select(r => Response(camera, light, r))];
        double[] white = raw[18];
        // White balance is rarely exact: up to a fifth off in red and blue.
        double red = 1 + (0.4 * (random.NextDouble() - 0.5)), blue = 1 + (0.4 * (random.NextDouble() - 0.5));
        double[][] balanced = [.. raw.Select(c => new[] { c[0] / white[0], c[1] / white[1], c[2] / white[2] })];
        double[] flat = [.. light.Select(_ => 1.0)];
        double[][] wanted = [.. _reflectances.Select(r => SrgbLight(Response(_observer, flat, r)))];
        double scale = 1 / wanted[18][1];
        Matrix<double> a = Matrix<double>.Build.DenseOfRowArrays(balanced), b = Matrix<double>.Build.DenseOfRowArrays(wanted) * scale;
        Matrix<double> m = a.QR().Solve(b);
        double exposure = 0.85 * Math.Pow(2, -2 * random.NextDouble()), contrast = 0.25 * random.NextDouble(), saturation = 0.7 + (0.6 * random.NextDouble());
        return [.. balanced.Select(c =>
        {
            Vector<double> l = Vector<double>.Build.Dense(c) * m * exposure;
            CodeRgb code = SignalEncoding.Srgb.FromScene(new SceneRgb(l[0] * red, l[1], l[2] * blue));
            double y = (0.2126 * code.R) + (0.7152 * code.G) + (0.0722 * code.B);
            double Style(double v)
            {
                double x = Math.Clamp(y + (saturation * (v - y)), 0, 1);
                return x - (contrast * Math.Sin(2 * Math.PI * x) / (2 * Math.PI));
            }

            return new CodeRgb(Style(code.R), Style(code.G), Style(code.B));
        })];
    }

    private static double[] Response(double[][] sensitivities, double[] light, double[] reflectance) =>
        [.. sensitivities.Select(s => s.Select((v, i) => v * light[i] * reflectance[i]).Sum())];

    private static double[] SrgbLight(double[] xyz)
    {
        (double r, double g, double b) = SignalEncoding.Srgb.XyzToRgb.Times(xyz[0] * 0.9505, xyz[1], xyz[2] * 1.089);
        return [r, g, b];
    }

    private static double[] Column(IReadOnlyList<IReadOnlyDictionary<string, string>> rows, string name) =>
        [.. rows.Select(r => double.TryParse(r[name], NumberStyles.Float, CultureInfo.InvariantCulture, out double v) ? v : double.NaN)];
}
