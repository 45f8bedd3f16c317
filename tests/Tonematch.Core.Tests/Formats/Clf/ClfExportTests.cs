using System.Globalization;
using Tonematch.Colour;
using Tonematch.Core.Tests.Luts.Tables;
using Tonematch.Corrections;
using Tonematch.Formats.Clf;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Formats.Clf;

public class ClfExportTests
{
    private static readonly Matrix3 s_matrix = new(0.9, 0.08, 0.02, -0.05, 1.02, 0.03, 0.01, -0.1, 1.12);

    private static readonly (string Name, Correction Correction, bool IsExact)[] s_cases =
    [
        ("identity", new IdentityCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709), true),
        ("gains bt709", new GainsCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, 1.2, 1, 0.8), true),
        ("gains srgb", new GainsCorrection(SignalEncoding.Srgb, SignalEncoding.Srgb, 1.2, 1, 0.8), true),
        ("gains p3 to bt2020", new GainsCorrection(SignalEncoding.DisplayP3, SignalEncoding.Bt2020, 1.1, 1, 0.9), true),
        ("matrix bt709", new MatrixCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, s_matrix), true),
        ("matrix with a veil", new MatrixCorrection(SignalEncoding.DisplayP3, SignalEncoding.Srgb, s_matrix) { Veil = new SceneRgb(0.03, 0.02, -0.01) }, true),
        ("matrix acescct to bt709", new MatrixCorrection(SignalEncoding.AcesCct, SignalEncoding.Bt709, s_matrix), true),
        ("gains acescct", new GainsCorrection(SignalEncoding.AcesCct, SignalEncoding.AcesCct, 1.2, 1, 0.8), true),
        ("matrix hlg", new MatrixCorrection(SignalEncoding.Hlg, SignalEncoding.Hlg, s_matrix), false),
        ("cdl", new CdlCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, new(1.1, 0.9, 1.05), new(0.02, -0.03, 0.01), new(0.9, 1.1, 1.2), 0.8), true),
        ("cdl across encodings", new CdlCorrection(SignalEncoding.Srgb, SignalEncoding.Bt709, new(1.1, 0.9, 1.05), new(0.02, -0.03, 0.01), new(0.9, 1.1, 1.2), 0.8), false),
        ("lift gamma gain", new LiftGammaGainCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, new(-0.02, 0.01, 0.03), new(1.1, 0.9, 1.05), new(1.1, 0.95, 1)), true),
        ("any other", new FunctionCorrection(c => new CodeRgb(c.R * c.R, c.G, c.B)), false),
    ];

    [Fact]
    public void Of_EachKind_IsExactWhereClfHasTheSteps()
    {
        foreach ((string name, Correction correction, bool isExact) in s_cases)
        {
            ClfExport export = ClfExport.Of(correction);
            Assert.True(isExact == export.IsExact, name);
            Assert.True(export.Difference.MaxCode <= (isExact ? 1e-4 : 0.2), $"{name}: {export.Difference.MaxCode}");
            Assert.Contains("Like camera A, " + correction.PrimaryEncoding.Title, export.File.OutputDescriptor, StringComparison.Ordinal);
        }
    }

    // Source: OpenColorIO (Debian), reading the written file: it must give the correction's own colours.
    [Fact]
    public void Of_ExactKinds_ReadByOpenColorIO_GiveTheCorrectionsColoursTo1e4()
    {
        CodeRgb[] colours = LutOracles.Colours(17)[..1000];
        (string Name, Correction Correction, bool IsExact)[] exact = [.. s_cases.Where(c => c.IsExact)];
        CodeRgb[][] all = LutOracles.OpenColorIO([.. exact.Select(c => Written(c.Correction))], "a.clf", colours, null);
        foreach (((string name, Correction correction, _), CodeRgb[] theirs) in exact.Zip(all))
        {
            for (int i = 0; i < colours.Length; i++)
            {
                CodeRgb ours = correction.Apply(colours[i]);
                Assert.True(
                    Math.Abs(ours.R - theirs[i].R) < 1.2e-4 && Math.Abs(ours.G - theirs[i].G) < 1.2e-4 && Math.Abs(ours.B - theirs[i].B) < 1.2e-4,
                    $"{name} at {colours[i]}: {ours}, theirs {theirs[i]}");
            }
        }
    }

    [Fact]
    public void Of_Bt709Curve_IsTheMonCurveToTheLastDigits()
    {
        ClfExport export = ClfExport.Of(new GainsCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, 1.3, 1, 0.7));
        Assert.True(export.Difference.MaxCode < 1e-9, $"{export.Difference.MaxCode}");
    }

    private static string Written(Correction correction)
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        ClfFormat.Write(text, ClfExport.Of(correction).File);
        return text.ToString();
    }
}
