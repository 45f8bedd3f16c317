using SixLabors.ImageSharp;
using SixLabors.ImageSharp.Formats.Png;
using SixLabors.ImageSharp.PixelFormats;
using Tonematch.Pictures;

namespace Tonematch.Reporting.Plots;

/// <summary>
/// The signal of one picture: luma over the picture's width (waveform), its three channels side by side (parade), the
/// colour-difference plane (vectorscope), and histograms. Ink density shows the number of pixels.
/// </summary>
internal static class SignalPlots
{
    private const int Columns = 192, Rows = 128, Plane = 144;
    private static readonly Rgba32 s_neutral = new(128, 128, 128), s_red = new(196, 72, 56), s_green = new(70, 142, 74), s_blue = new(72, 112, 196);

    private static readonly double[] s_planeMarks = [-0.4, -0.2, 0, 0.2, 0.4], s_shares = [0, 0.25, 0.5, 0.75, 1];
    private static readonly int[] s_percents = [0, 25, 50, 75, 100];

    // Code values a little outside 0..1 are drawn too.
    private const double Low = -0.05, High = 1.05;

    public static Html Waveform(Picture picture, string id, string name)
    {
        double[] counts = new double[Columns * Rows];
        double blacks = 0, whites = 0;
        int n = picture.Width * picture.Height;
        for (int i = 0; i < n; i++)
        {
            double luma = Luma(picture, i);
            Count(counts, (double)(i % picture.Width) / picture.Width, luma);
            blacks += luma <= 0.005 ? 1 : 0;
            whites += luma >= 0.995 ? 1 : 0;
        }

        string says = FormattableString.Invariant($"{name}: {100 * blacks / n:F1} % of the picture at black, {100 * whites / n:F1} % at white.");
        return Image(id, $"Waveform, {name}", says, "picture, left to right", Png(counts, Columns, Rows, Columns * Rows, s_neutral));
    }

    public static Html Parade(Picture picture, string id, string name)
    {
        const int third = Columns / 3;
        Rgba32[] pixels = new Rgba32[Columns * Rows];
        double[] means = new double[3];
        for (int c = 0; c < 3; c++)
        {
            double[] counts = new double[Columns * Rows];
            ReadOnlySpan<float> plane = c == 0 ? picture.R : c == 1 ? picture.G : picture.B;
            for (int i = 0; i < plane.Length; i++)
            {
                Count(counts, (c + (0.96 * (i % picture.Width) / picture.Width) + 0.02) / 3, plane[i]);
                means[c] += plane[i] / plane.Length;
            }

            Ink(pixels, counts, Columns * Rows / 3, c == 0 ? s_red : c == 1 ? s_green : s_blue, c * third, (c + 1) * third, Columns);
        }

        string says = FormattableString.Invariant($"{name}: mean red {100 * means[0]:F0} %, green {100 * means[1]:F0} %, blue {100 * means[2]:F0} %.");
        return Image(id, $"RGB parade, {name}", says, "red, green, blue", Png(pixels, Columns, Rows));
    }

    public static Html Vectorscope(Picture picture, string id, string name)
    {
        double[] counts = new double[Plane * Plane];
        double meanB = 0, meanR = 0;
        int n = picture.Width * picture.Height;
        for (int i = 0; i < n; i++)
        {
            double luma = Luma(picture, i), cb = (picture.B[i] - luma) / 1.8556, cr = (picture.R[i] - luma) / 1.5748;
            int x = (int)((cb + 0.4) / 0.8 * Plane), y = (int)((0.4 - cr) / 0.8 * Plane);
            if (x is >= 0 and < Plane && y is >= 0 and < Plane)
            {
                counts[(y * Plane) + x]++;
            }

            meanB += cb / n;
            meanR += cr / n;
        }

        string says = FormattableString.Invariant($"{name}: mean Cb {meanB:+0.000;-0.000;0.000}, Cr {meanR:+0.000;-0.000;0.000}.");
        double X(double cb) => 30 + ((cb + 0.4) / 0.8 * 140);
        double Y(double cr) => 6 + ((0.4 - cr) / 0.8 * 140);
        return Html.Of($"""
            <svg class="square-plot" viewBox="0 0 176 172" role="img" aria-labelledby="{id}-t {id}-d"><title id="{id}-t">Vectorscope, {name}</title><desc id="{id}-d">{says}</desc>
            <image x="30" y="6" width="140" height="140" preserveAspectRatio="none" href="{Png(counts, Plane, Plane, Plane * Plane / 6.0, s_neutral)}"/>
            <g class="grid"><path d="M{X(0)} 6V146M30 {Y(0)}H170"/>{Html.Each(s_planeMarks.Where(t => t != 0), t => Html.Of($"<path d=\"M{X(t)} 143v3M27 {Y(t)}h3\"/>"))}</g>
            <g class="tick small" text-anchor="middle">{Html.Each(s_planeMarks, t => Html.Of($"<text x=\"{X(t)}\" y=\"155\">{t:0.0}</text>"))}</g>
            <g class="tick small" text-anchor="end">{Html.Each(s_planeMarks, t => Html.Of($"<text x=\"25\" y=\"{Y(t) + 2.5}\">{t:0.0}</text>"))}</g>
            <text class="axis small" x="100" y="168" text-anchor="middle">Cb (to blue)</text><text class="axis small" transform="translate(7 76) rotate(-90)" text-anchor="middle">Cr (to red)</text></svg>
            """);
    }

    public static Html Histogram(Picture picture, string id, string name)
    {
        const int bins = 64;
        Html[] lines = new Html[3];
        double[][] shares = new double[3][];
        int n = picture.Width * picture.Height;
        for (int c = 0; c < 3; c++)
        {
            shares[c] = new double[bins];
            foreach (float v in c == 0 ? picture.R : c == 1 ? picture.G : picture.B)
            {
                shares[c][Math.Clamp((int)(v * bins), 0, bins - 1)] += 1.0 / n;
            }
        }

        // Peaks of flat areas are cut off at the 98th percentile of the bins, so that the rest stays visible.
        double top = Math.Max(1e-9, shares.SelectMany(s => s).Order().ElementAt((int)(3 * bins * 0.98)) * 1.1);
        for (int c = 0; c < 3; c++)
        {
            string path = "M" + string.Join('L', shares[c].Select((s, i) => FormattableString.Invariant($"{30 + ((i + 0.5) / bins * 200):0.#} {94 - (Math.Min(s / top, 1) * 86):0.#}")));
            lines[c] = Html.Of($"<path class=\"{(c == 0 ? "red" : c == 1 ? "green" : "blue")}\" d=\"{path}\"/>");
        }

        double median = Median(picture);
        return Html.Of($"""
            <svg viewBox="0 0 236 120" role="img" aria-labelledby="{id}-t {id}-d"><title id="{id}-t">Histogram, {name}</title><desc id="{id}-d">{name}: half of the picture is below {100 * median:0} % luma.</desc>
            <g class="grid"><path d="M30 94H230"/>{Html.Each(s_percents, t => Html.Of($"<path d=\"M{30 + (2 * t)} 8V97\"/>"))}</g>
            <g class="tick small" text-anchor="middle">{Html.Each(s_percents, t => Html.Of($"<text x=\"{30 + (2 * t)}\" y=\"105\">{t}</text>"))}</g>
            {Html.Join(lines)}<text class="axis small" x="130" y="117" text-anchor="middle">signal, %</text><text class="axis small" transform="translate(9 51) rotate(-90)" text-anchor="middle">share</text></svg>
            """);
    }

    /// <summary>Median luma of a picture, 0..1.</summary>
    public static double Median(Picture picture)
    {
        int[] counts = new int[1024];
        int n = picture.Width * picture.Height, sum = 0;
        for (int i = 0; i < n; i++)
        {
            counts[Math.Clamp((int)(Luma(picture, i) * 1023), 0, 1023)]++;
        }

        for (int k = 0; k < counts.Length; k++)
        {
            sum += counts[k];
            if (2 * sum >= n)
            {
                return k / 1023.0;
            }
        }

        return 1;
    }

    private static Html Image(string id, string title, string says, string xTitle, string data)
    {
        double Y(double share) => 6 + ((High - share) / (High - Low) * 100);
        return Html.Of($"""
            <svg viewBox="0 0 236 132" role="img" aria-labelledby="{id}-t {id}-d"><title id="{id}-t">{title}</title><desc id="{id}-d">{says}</desc>
            <g class="grid">{Html.Each(s_shares, t => Html.Of($"<path d=\"M30 {Y(t):0.#}H230\"/>"))}</g>
            <image x="30" y="6" width="200" height="100" preserveAspectRatio="none" href="{data}"/>
            <g class="tick small" text-anchor="end">{Html.Each(s_shares, t => Html.Of($"<text x=\"26\" y=\"{Y(t) + 2.5:0.#}\">{100 * t}</text>"))}</g>
            <text class="axis small" x="130" y="120" text-anchor="middle">{xTitle}</text><text class="axis small" transform="translate(7 56) rotate(-90)" text-anchor="middle">signal, %</text></svg>
            """);
    }

    private static double Luma(Picture p, int i) => (0.2126 * p.R[i]) + (0.7152 * p.G[i]) + (0.0722 * p.B[i]);

    private static void Count(double[] counts, double x, double value)
    {
        int column = Math.Clamp((int)(x * Columns), 0, Columns - 1), row = (int)((High - value) / (High - Low) * Rows);
        if (row is >= 0 and < Rows)
        {
            counts[(row * Columns) + column]++;
        }
    }

    private static string Png(double[] counts, int width, int height, double even, Rgba32 ink)
    {
        Rgba32[] pixels = new Rgba32[width * height];
        Ink(pixels, counts, even, ink, 0, width, width);
        return Png(pixels, width, height);
    }

    // Density to opacity: a square root shows thin and thick alike; 'even' is the number of cells over which evenly
    // spread pixels would lie.
    private static void Ink(Rgba32[] pixels, double[] counts, double even, Rgba32 ink, int from, int to, int width)
    {
        double total = Math.Max(1, counts.Sum()), scale = even / total / 5;
        for (int i = 0; i < pixels.Length; i++)
        {
            if (i % width >= from && i % width < to && counts[i] > 0)
            {
                byte alpha = (byte)(255 * Math.Min(1, 0.10 + (0.9 * Math.Sqrt(counts[i] * scale))));
                pixels[i] = new Rgba32(ink.R, ink.G, ink.B, alpha);
            }
        }
    }

    private static string Png(Rgba32[] pixels, int width, int height)
    {
        using Image<Rgba32> image = SixLabors.ImageSharp.Image.LoadPixelData(pixels, width, height);
        using MemoryStream stream = new();
        image.SaveAsPng(stream, new PngEncoder { ColorType = PngColorType.RgbWithAlpha });
        return "data:image/png;base64," + Convert.ToBase64String(stream.ToArray());
    }
}
