using System.Globalization;

namespace Tonematch.Cli.Tests;

/// <summary>
/// The figures of a match recomputed from its files alone, by code of its own that shares nothing with the program:
/// plain trilinear look-up would differ, so tetrahedral interpolation, BT.709 seen through gamma 2.4, CIELAB (D65) and
/// CIEDE2000 are written out here once more, from the standards.
/// </summary>
internal static class Recomputed
{
    public static (double Mean, double Max) After(string pairsCsv, string cube)
    {
        (int size, double[] nodes) = ReadCube(cube);
        string[] lines = File.ReadAllLines(pairsCsv);
        string[] header = lines[0].Split(',');
        int primary = Array.IndexOf(header, "primary_r"), secondary = Array.IndexOf(header, "secondary_r"), weight = Array.IndexOf(header, "weight");
        double sum = 0, total = 0, max = 0;
        foreach (string line in lines.Skip(1).Where(l => l.Length > 0))
        {
            string[] f = line.Split(',');
            double N(int i) => double.Parse(f[i], CultureInfo.InvariantCulture);
            double w = weight >= 0 ? N(weight) : 1;
            double e = Ciede2000(
                Lab(Limit(N(primary)), Limit(N(primary + 1)), Limit(N(primary + 2))),
                Lab(LookUp(nodes, size, N(secondary), N(secondary + 1), N(secondary + 2))));
            (sum, total, max) = (sum + (w * e), total + w, Math.Max(max, e));
        }

        return (sum / total, max);
    }

    /// <summary>Mean difference of pairs of code values, the secondary's through the table when one is given.</summary>
    public static double Mean(IEnumerable<(double[] Primary, double[] Secondary)> pairs, string? cube = null)
    {
        (int size, double[] nodes) = cube is null ? (0, []) : ReadCube(cube);
        return pairs.Average(p => Ciede2000(Lab(p.Primary), Lab(cube is null ? p.Secondary : LookUp(nodes, size, p.Secondary))));
    }

    private static double Limit(double v) => Math.Clamp(v, 0, 1);

    private static (int Size, double[] Nodes) ReadCube(string path)
    {
        int size = 0;
        List<double> nodes = [];
        foreach (string line in File.ReadLines(path))
        {
            if (line.StartsWith("LUT_3D_SIZE", StringComparison.Ordinal))
            {
                size = int.Parse(line.Split(' ')[1], CultureInfo.InvariantCulture);
            }
            else if (line.Length > 0 && (char.IsAsciiDigit(line[0]) || line[0] == '-'))
            {
                nodes.AddRange(line.Split(' ').Select(t => double.Parse(t, CultureInfo.InvariantCulture)));
            }
        }

        return (size, [.. nodes]);
    }

    private static double[] LookUp(double[] nodes, int n, params double[] code)
    {
        int[] cell = new int[3];
        double[] part = new double[3];
        for (int c = 0; c < 3; c++)
        {
            double x = Limit(code[c]) * (n - 1);
            cell[c] = Math.Min((int)x, n - 2);
            part[c] = x - cell[c];
        }

        // Walk from the cell's first corner to its last along the axes in falling order of their fractions.
        int[] order = [0, 1, 2];
        Array.Sort(order, (a, b) => part[b].CompareTo(part[a]));
        double[] weights = [1 - part[order[0]], part[order[0]] - part[order[1]], part[order[1]] - part[order[2]], part[order[2]]];
        double[] result = new double[3];
        for (int step = 0; step < 4; step++)
        {
            int at = 3 * (cell[0] + (n * (cell[1] + (n * cell[2]))));
            for (int c = 0; c < 3; c++)
            {
                result[c] += weights[step] * nodes[at + c];
            }

            if (step < 3)
            {
                cell[order[step]]++;
            }
        }

        return [.. result.Select(Limit)];
    }

    // ITU-R BT.1886 (gamma 2.4, black 0), BT.709 primaries to XYZ with D65, CIE 15 CIELAB.
    private static double[] Lab(params double[] code)
    {
        double[] l = [.. code.Select(c => Math.Pow(c, 2.4))];
        double x = (0.412390799 * l[0]) + (0.357584339 * l[1]) + (0.180480788 * l[2]);
        double y = (0.212639006 * l[0]) + (0.715168679 * l[1]) + (0.072192315 * l[2]);
        double z = (0.019330819 * l[0]) + (0.119194780 * l[1]) + (0.950532152 * l[2]);
        double F(double t) => t > 216.0 / 24389 ? Math.Cbrt(t) : ((24389.0 / 27 * t) + 16) / 116;
        double fx = F(x / (0.3127 / 0.3290)), fy = F(y), fz = F(z / (0.3583 / 0.3290));
        return [(116 * fy) - 16, 500 * (fx - fy), 200 * (fy - fz)];
    }

    // Sharma, Wu and Dalal 2005, eq. (2) to (22).
    private static double Ciede2000(double[] p, double[] q)
    {
        double c = (Math.Sqrt((p[1] * p[1]) + (p[2] * p[2])) + Math.Sqrt((q[1] * q[1]) + (q[2] * q[2]))) / 2;
        double g = 1.5 - (0.5 * Math.Sqrt(Math.Pow(c, 7) / (Math.Pow(c, 7) + Math.Pow(25, 7))));
        double a1 = g * p[1], a2 = g * q[1];
        double c1 = Math.Sqrt((a1 * a1) + (p[2] * p[2])), c2 = Math.Sqrt((a2 * a2) + (q[2] * q[2]));
        double h1 = (Math.Atan2(p[2], a1) * 180 / Math.PI + 360) % 360, h2 = (Math.Atan2(q[2], a2) * 180 / Math.PI + 360) % 360;
        double dh = h2 - h1;
        dh = c1 * c2 == 0 ? 0 : dh > 180 ? dh - 360 : dh < -180 ? dh + 360 : dh;
        double h = c1 * c2 == 0 ? h1 + h2 : Math.Abs(h1 - h2) <= 180 ? (h1 + h2) / 2 : h1 + h2 < 360 ? (h1 + h2 + 360) / 2 : (h1 + h2 - 360) / 2;
        double Cos(double degrees) => Math.Cos(degrees * Math.PI / 180);
        double t = 1 - (0.17 * Cos(h - 30)) + (0.24 * Cos(2 * h)) + (0.32 * Cos((3 * h) + 6)) - (0.2 * Cos((4 * h) - 63));
        double l = ((p[0] + q[0]) / 2) - 50, cm = (c1 + c2) / 2;
        double sl = 1 + (0.015 * l * l / Math.Sqrt(20 + (l * l))), sc = 1 + (0.045 * cm), sh = 1 + (0.015 * cm * t);
        double turn = 60 * Math.Exp(-Math.Pow((h - 275) / 25, 2));
        double rt = -2 * Math.Sqrt(Math.Pow(cm, 7) / (Math.Pow(cm, 7) + Math.Pow(25, 7))) * Math.Sin(turn * Math.PI / 180);
        double dl = (q[0] - p[0]) / sl, dc = (c2 - c1) / sc, dH = 2 * Math.Sqrt(c1 * c2) * Math.Sin(dh / 2 * Math.PI / 180) / sh;
        return Math.Sqrt((dl * dl) + (dc * dc) + (dH * dH) + (rt * dc * dH));
    }
}
