using System.Globalization;
using Tonematch.Colour;
using Tonematch.Luts.Tables;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Formats;

/// <summary>One colour through one shared file, as OpenColorIO 2.1.2 computed it.</summary>
internal sealed record ExpectedOutput(string File, LutMethod? Method, CodeRgb Input, CodeRgb Output)
{
    // Printed with 7 significant digits by a program that computes in float.
    private const double Tolerance = 2e-6;

    /// <summary>The rows of files with one ending; skips the running test when the table is missing.</summary>
    public static IEnumerable<ExpectedOutput> Of(string ending) =>
        CsvTable.Read(SharedData.Require("luts/expected-outputs.csv"))
            .Where(row => row["file"].EndsWith(ending, StringComparison.Ordinal))
            .Select(row =>
            {
                double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
                return new ExpectedOutput(
                    row["file"],
                    row["interpolation"] switch { "linear" => LutMethod.Trilinear, "tetrahedral" => LutMethod.Tetrahedral, _ => null },
                    new CodeRgb(N("in_r"), N("in_g"), N("in_b")),
                    new CodeRgb(N("out_r"), N("out_g"), N("out_b")));
            });

    /// <summary>Compares absolutely up to 1 and relatively above.</summary>
    public void AssertEqual(CodeRgb actual, double tolerance = Tolerance)
    {
        Near(Output.R, actual.R);
        Near(Output.G, actual.G);
        Near(Output.B, actual.B);

        void Near(double expected, double found) => Assert.True(
            Math.Abs(expected - found) <= tolerance * Math.Max(1, Math.Abs(expected)),
            $"{File} {Method}: {Input} should give {Output}, gave {actual}");
    }
}
