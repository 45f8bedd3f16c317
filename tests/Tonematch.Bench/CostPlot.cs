using System.Globalization;
using System.Text;

namespace Tonematch.Bench;

/// <summary>Seconds over what is worked on, both axes logarithmic: what grows with it lies on a line of slope 1.</summary>
internal sealed class CostPlot
{
    private const double Width = 360, Height = 300, Left = 54, Bottom = 46, Top = 34;

    private readonly List<(string Title, string Axis, List<(string Name, List<(double X, double Seconds)> Points)> Lines)> _panels = [];

    /// <summary>Adds a panel; lines without points are passed over.</summary>
    public void Add(string title, string axis, IEnumerable<(string Name, List<(double X, double Seconds)> Points)> lines) =>
        _panels.Add((title, axis, [.. lines.Where(l => l.Points.Count > 0)]));

    /// <summary>Writes the drawing (SVG).</summary>
    public void Write(string path)
    {
        StringBuilder svg = new();
        double width = _panels.Count * (Width + 20), height = Height + 30;
        svg.Append(CultureInfo.InvariantCulture, $"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" role=\"img\">");
        svg.Append("<title>What a match and a check cost</title><style>text{font:11px system-ui,sans-serif;fill:#1b1b1b}.t{font-size:13px;font-weight:600}.s{fill:#5a5a58}.g{stroke:#d5d5d1;stroke-width:.7}.l{fill:none;stroke-width:1.6}</style><rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>");
        for (int i = 0; i < _panels.Count; i++)
        {
            Panel(svg, i * (Width + 20), _panels[i].Title, _panels[i].Axis, _panels[i].Lines);
        }

        File.WriteAllText(path, svg.Append("</svg>\n").ToString());
    }

    private static void Panel(StringBuilder svg, double left, string title, string axis, List<(string Name, List<(double X, double Seconds)> Points)> lines)
    {
        (double X, double Seconds)[] all = [.. lines.SelectMany(l => l.Points)];
        double x0 = Math.Log10(all.Min(p => p.X)) - 0.1, x1 = Math.Log10(all.Max(p => p.X)) + 0.1, y0 = Math.Floor(Math.Log10(all.Min(p => p.Seconds))), y1 = Math.Ceiling(Math.Log10(all.Max(p => p.Seconds)));
        double X(double x) => left + Left + ((Math.Log10(x) - x0) / (x1 - x0) * (Width - Left - 80));
        double Y(double s) => Top + ((y1 - Math.Log10(s)) / (y1 - y0) * (Height - Top - Bottom));
        string At(double v) => v.ToString("0.#", CultureInfo.InvariantCulture);
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"t\" x=\"{At(left + Left)}\" y=\"18\">{title}</text>");
        for (double y = y0; y <= y1; y++)
        {
            double s = Math.Pow(10, y);
            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"g\" d=\"M{At(left + Left)} {At(Y(s))}h{At(Width - Left - 80)}\"/><text class=\"s\" text-anchor=\"end\" x=\"{At(left + Left - 6)}\" y=\"{At(Y(s) + 4)}\">{s:0.##} s</text>");
        }

        foreach (double x in all.Select(p => p.X).Distinct())
        {
            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"g\" d=\"M{At(X(x))} {At(Top)}V{At(Height - Bottom)}\"/><text class=\"s\" text-anchor=\"middle\" x=\"{At(X(x))}\" y=\"{At(Height - Bottom + 16)}\">{x:0.##}</text>");
        }

        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"s\" text-anchor=\"middle\" x=\"{At(left + Left + ((Width - Left - 80) / 2))}\" y=\"{At(Height - 8)}\">{axis}</text>");
        string[] colours = ["#1b1b1b", "#b03a2c", "#3560b8", "#8a8a86"];
        double last = double.NegativeInfinity;
        foreach (((string name, List<(double X, double Seconds)> points), int i) in lines.Select((l, i) => (l, i)).OrderBy(l => Y(l.l.Points[^1].Seconds)))
        {
            string colour = colours[i % colours.Length];
            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"l\" stroke=\"{colour}\" d=\"M{string.Join('L', points.Select(p => $"{At(X(p.X))} {At(Y(p.Seconds))}"))}\"/>");
            foreach ((double x, double s) in points)
            {
                svg.Append(CultureInfo.InvariantCulture, $"<circle r=\"2.6\" fill=\"{colour}\" cx=\"{At(X(x))}\" cy=\"{At(Y(s))}\"/>");
            }

            // Names at the line's end, moved apart where ends lie together.
            last = Math.Max(last + 13, Y(points[^1].Seconds) + 4);
            svg.Append(CultureInfo.InvariantCulture, $"<text x=\"{At(X(points[^1].X) + 7)}\" y=\"{At(last)}\" style=\"fill:{colour}\">{name}</text>");
        }
    }
}
