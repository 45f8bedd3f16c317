using System.Globalization;
using System.Text;
using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Samples.Charts;

/// <summary>Draws a chart to scale for printing: A4 landscape, 40 mm from patch to patch for six columns.</summary>
public static class PrintableChart
{
    /// <summary>Width of the page, millimetres (A4 landscape; fits US Letter without scaling).</summary>
    public const double PageWidth = 297;

    /// <summary>Height of the page, millimetres.</summary>
    public const double PageHeight = 210;

    /// <summary>The warning on every print.</summary>
    public const string Warning =
        "Printers and papers differ: the colours of a print are known only after measuring it. Unmeasured, it can match cameras with each other but not with a reference.";

    private const double PointsPerMillimetre = 72 / 25.4;
    private const double FrameMillimetres = 6;

    // A dark neutral frame separates the patches and is not itself the colour of a patch.
    private static readonly Lab s_frame = new(14, 0, 0);

    /// <summary>
    /// Distance between the centres of neighbouring patches, millimetres: as large as the page allows, up to 40.
    /// </summary>
    public static double PitchMillimetres(ChartLayout layout)
    {
        ArgumentNullException.ThrowIfNull(layout);
        return Math.Min(40, Math.Floor(Math.Min((PageWidth - 40) / layout.Columns, (PageHeight - 46) / layout.Rows)));
    }

    /// <summary>
    /// The page as a picture in sRGB, with out-of-gamut colours clamped. Print it at its own resolution.
    /// </summary>
    /// <param name="chart">The chart.</param>
    /// <param name="dotsPerInch">36 to 600.</param>
    /// <exception cref="ArgumentOutOfRangeException">The resolution is outside 36..600.</exception>
    public static Picture ToPicture(ChartReference chart, int dotsPerInch)
    {
        ArgumentNullException.ThrowIfNull(chart);
        ArgumentOutOfRangeException.ThrowIfLessThan(dotsPerInch, 36);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(dotsPerInch, 600);
        double perMillimetre = dotsPerInch / 25.4;
        int width = (int)Math.Round(PageWidth * perMillimetre), height = (int)Math.Round(PageHeight * perMillimetre);
        float[][] planes = [new float[width * height], new float[width * height], new float[width * height]];
        foreach (float[] plane in planes)
        {
            Array.Fill(plane, 1f);
        }

        foreach (Box box in Boxes(chart))
        {
            CodeRgb c = SignalEncoding.Srgb.FromLab(box.Colour).Clamped();
            int left = (int)Math.Round(box.X * perMillimetre), right = (int)Math.Round((box.X + box.Width) * perMillimetre);
            int top = (int)Math.Round(box.Y * perMillimetre), bottom = (int)Math.Round((box.Y + box.Height) * perMillimetre);
            for (int y = top; y < bottom; y++)
            {
                planes[0].AsSpan((y * width) + left, right - left).Fill((float)c.R);
                planes[1].AsSpan((y * width) + left, right - left).Fill((float)c.G);
                planes[2].AsSpan((y * width) + left, right - left).Fill((float)c.B);
            }
        }

        return new Picture(width, height, planes[0], planes[1], planes[2], SignalEncoding.Srgb);
    }

    /// <summary>
    /// The page as a PDF file (ISO 32000-1): boxes in CIELAB relative to the chart's own white (8.6.5.4), so that the
    /// printer's profile reproduces them; a ruler of 100 mm to check the scale; names and the warning.
    /// </summary>
    public static byte[] ToPdf(ChartReference chart)
    {
        ArgumentNullException.ThrowIfNull(chart);
        StringBuilder page = new();
        page.Append("/L cs\n");
        foreach (Box box in Boxes(chart))
        {
            Append(page, $"{box.Colour.L:0.###} {box.Colour.A:0.###} {box.Colour.B:0.###} sc {Pt(box.X)} {Pt(PageHeight - box.Y - box.Height)} {Pt(box.Width)} {Pt(box.Height)} re f\n");
        }

        (double gridX, double gridY, double pitch) = Grid(chart.Layout);
        double below = gridY + (chart.Layout.Rows * pitch) + FrameMillimetres + 6;
        Text(page, gridX, gridY - FrameMillimetres - 3, 9, $"{chart.Title}   (top)");
        Text(page, gridX + 102, below + 1.2, 7, "100 mm when printed at 100 %");
        Text(page, gridX, below + 7, 7, Warning[..(Warning.IndexOf(". ", StringComparison.Ordinal) + 1)]);
        Text(page, gridX, below + 11, 7, Warning[(Warning.IndexOf(". ", StringComparison.Ordinal) + 2)..]);
        return Write(page.ToString(), chart.White);
    }

    private static (double X, double Y, double Pitch) Grid(ChartLayout layout)
    {
        double pitch = PitchMillimetres(layout);
        return ((PageWidth - (layout.Columns * pitch)) / 2, (PageHeight - (layout.Rows * pitch)) / 2 - 4, pitch);
    }

    // The frame, the patches, the ruler; later ones are on top.
    private static IEnumerable<Box> Boxes(ChartReference chart)
    {
        (double x0, double y0, double pitch) = Grid(chart.Layout);
        double width = chart.Layout.Columns * pitch, height = chart.Layout.Rows * pitch;
        yield return new Box(x0 - FrameMillimetres, y0 - FrameMillimetres, width + (2 * FrameMillimetres), height + (2 * FrameMillimetres), s_frame);
        double side = pitch * chart.Layout.PatchShare, gap = (pitch - side) / 2;
        for (int i = 0; i < chart.Layout.Count; i++)
        {
            double x = x0 + (i % chart.Layout.Columns * pitch) + gap, y = y0 + (i / chart.Layout.Columns * pitch) + gap;
            yield return new Box(x, y, side, side, chart.LabOf(i));
        }

        double below = y0 + height + FrameMillimetres + 5;
        for (int i = 0; i < 10; i++)
        {
            yield return new Box(x0 + (10 * i), below, 10, 2, i % 2 == 0 ? new Lab(0, 0, 0) : new Lab(80, 0, 0));
        }
    }

    private static void Text(StringBuilder page, double x, double y, double size, string text)
    {
        string escaped = text.Replace("\\", @"\\", StringComparison.Ordinal).Replace("(", @"\(", StringComparison.Ordinal).Replace(")", @"\)", StringComparison.Ordinal);
        Append(page, $"0 0 0 sc BT /F {size:0.##} Tf {Pt(x)} {Pt(PageHeight - y)} Td ({escaped}) Tj ET\n");
    }

    private static byte[] Write(string content, Xyz white)
    {
        string[] objects =
        [
            "<< /Type /Catalog /Pages 2 0 R >>",
            "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
            string.Create(CultureInfo.InvariantCulture, $"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {Pt(PageWidth)} {Pt(PageHeight)}] /Contents 4 0 R /Resources << /Font << /F 5 0 R >> /ColorSpace << /L 6 0 R >> >> >>"),
            string.Create(CultureInfo.InvariantCulture, $"<< /Length {Encoding.ASCII.GetByteCount(content)} >>\nstream\n{content}endstream"),
            "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
            string.Create(CultureInfo.InvariantCulture, $"[/Lab << /WhitePoint [{white.X:0.####} 1 {white.Z:0.####}] /Range [-128 127 -128 127] >>]"),
        ];
        StringBuilder file = new("%PDF-1.4\n");
        List<int> offsets = [];
        for (int i = 0; i < objects.Length; i++)
        {
            offsets.Add(file.Length);
            Append(file, $"{i + 1} 0 obj\n{objects[i]}\nendobj\n");
        }

        int xref = file.Length;
        Append(file, $"xref\n0 {objects.Length + 1}\n0000000000 65535 f \n");
        foreach (int offset in offsets)
        {
            Append(file, $"{offset:0000000000} 00000 n \n");
        }

        Append(file, $"trailer\n<< /Size {objects.Length + 1} /Root 1 0 R >>\nstartxref\n{xref}\n%%EOF\n");
        return Encoding.ASCII.GetBytes(file.ToString());
    }

    private static string Pt(double millimetres) => (millimetres * PointsPerMillimetre).ToString("0.###", CultureInfo.InvariantCulture);

    private static void Append(StringBuilder to, FormattableString text) => to.Append(text.ToString(CultureInfo.InvariantCulture));

    private sealed record Box(double X, double Y, double Width, double Height, Lab Colour);
}
