using System.Text;
using System.Text.RegularExpressions;
using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;
using Xunit;

namespace Tonematch.Core.Tests.Samples.Charts;

public class PrintableChartTests
{
    private static readonly ChartReference s_own = ChartReference.Find("print24")!;

    [Fact]
    public void ToPicture_At150DotsPerInch_IsToScaleAndHoldsTheColours()
    {
        Picture page = PrintableChart.ToPicture(s_own, 150);
        Assert.Equal((1754, 1240), (page.Width, page.Height)); // A4: 297 x 210 mm at 150 / 25.4 pixels a millimetre
        double pitch = PrintableChart.PitchMillimetres(s_own.Layout) * 150 / 25.4;
        double left = (page.Width - (6 * pitch)) / 2;
        for (int i = 0; i < 6; i++)
        {
            CodeRgb expected = SignalEncoding.Srgb.FromLab(s_own.LabOf(i)).Clamped();
            CodeRgb seen = page[(int)(left + ((i + 0.5) * pitch)), (int)((page.Height / 2.0) - (1.5 * pitch) - (4 * 150 / 25.4))];
            Assert.Equal(expected.R, seen.R, 1e-6);
            Assert.Equal(expected.B, seen.B, 1e-6);
        }
    }

    // ISO 32000-1, 7.5.4: each entry of the cross-reference table is the byte offset of its object.
    [Fact]
    public void ToPdf_EveryChart_HasATrueCrossReferenceTable()
    {
        foreach (ChartReference chart in ChartReference.All)
        {
            string pdf = Encoding.ASCII.GetString(PrintableChart.ToPdf(chart));
            int xref = int.Parse(Regex.Match(pdf, @"startxref\n(\d+)").Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture);
            Assert.StartsWith("xref\n", pdf[xref..], StringComparison.Ordinal);
            MatchCollection entries = Regex.Matches(pdf[xref..], @"(\d{10}) 00000 n ");
            Assert.Equal(6, entries.Count);
            for (int i = 0; i < entries.Count; i++)
            {
                int offset = int.Parse(entries[i].Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture);
                Assert.StartsWith($"{i + 1} 0 obj\n", pdf[offset..], StringComparison.Ordinal);
            }

            int length = int.Parse(Regex.Match(pdf, @"/Length (\d+)").Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture);
            int start = pdf.IndexOf("stream\n", StringComparison.Ordinal) + 7;
            Assert.Equal("endstream", pdf.Substring(start + length, 9));
        }
    }
}
