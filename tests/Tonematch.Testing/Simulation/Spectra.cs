using System.Globalization;
using System.Text.RegularExpressions;

namespace Tonematch.Testing.Simulation;

/// <summary>Measured spectra on one grid: 400 to 700 nm in steps of 5 nm.</summary>
public sealed class Spectra
{
    /// <summary>First wavelength, nm.</summary>
    public const int First = 400;

    /// <summary>Step, nm.</summary>
    public const int Step = 5;

    /// <summary>Values a spectrum.</summary>
    public const int Count = 61;

    private Spectra(IReadOnlyList<(string Name, double[] Values)> items) => Items = items;

    /// <summary>Each spectrum with its name.</summary>
    public IReadOnlyList<(string Name, double[] Values)> Items { get; }

    /// <summary>Reads a table: wavelengths in the first column, one spectrum a column; linear between its rows.</summary>
    public static Spectra Read(string path)
    {
        string[][] rows = [.. File.ReadAllLines(path).Where(l => l.Length > 0).Select(Fields)];
        double[] wavelengths = [.. rows.Skip(1).Select(r => Number(r[0]))];
        List<(string, double[])> items = [];
        for (int c = 1; c < rows[0].Length; c++)
        {
            double[] column = [.. rows.Skip(1).Select(r => Number(r[c]))];
            double[] values = new double[Count];
            for (int i = 0; i < Count; i++)
            {
                double w = First + (Step * i);
                int k = Array.BinarySearch(wavelengths, w);
                if (k >= 0)
                {
                    values[i] = column[k];
                    continue;
                }

                int next = Math.Clamp(~k, 1, wavelengths.Length - 1);
                double t = (w - wavelengths[next - 1]) / (wavelengths[next] - wavelengths[next - 1]);
                values[i] = column[next - 1] + (t * (column[next] - column[next - 1]));
            }

            items.Add((rows[0][c], values));
        }

        return new Spectra(items);
    }

    // Some names hold commas, between double quotes.
    private static string[] Fields(string line) =>
        [.. Regex.Split(line, ",(?=(?:[^\"]*\"[^\"]*\")*[^\"]*$)").Select(f => f.Trim('"'))];

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);
}
