using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Samples;
using Tonematch.Testing;

namespace Tonematch.Bench.Real;

/// <summary>One photograph in two renderings, pixel on pixel: tests the form of a correction, not its reach.</summary>
internal static class RegisteredPair
{
    /// <summary>Fits to the places of the part 'fit', prints what is left on those of the part 'score'.</summary>
    public static void Print(string path, bool exchanged, string[] args)
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows = CsvTable.Read(path);
        SampleSet Part(string part) => new(SignalEncoding.Srgb, SignalEncoding.Srgb, SamplingMethod.Overlap,
            [.. rows.Where(r => r["part"] == part).Select(r => Pair(r, exchanged))]);
        SampleSet score = Part("score");
        Console.WriteLine();
        Console.WriteLine($"**One photograph in two renderings, half of the places to the other half{(exchanged ? ", exchanged" : "")}** (CIEDE2000)");
        Console.WriteLine("| method | mean | 95 % |");
        Console.WriteLine("|---|---|---|");
        foreach ((string name, Func<CodeRgb, CodeRgb> map) in RealBench.Methods(Part("fit"), args, out double claim, out string kind))
        {
            DeltaEStatistics s = DeltaEStatistics.Of([.. score.Pairs.Select(p => RealBench.Difference(score.PrimaryEncoding, p.Primary, map(p.Secondary)))]);
            Console.WriteLine($"| {name}{(name.StartsWith("TONEMATCH", StringComparison.Ordinal) ? $": {kind}; claims {RealBench.Text(claim)}" : "")} | {RealBench.Text(s.Mean)} | {RealBench.Text(s.Percentile95)} |");
        }
    }

    // Groups are areas of the picture, 8 x 6, as the search for common things makes them.
    private static SamplePair Pair(IReadOnlyDictionary<string, string> row, bool exchanged)
    {
        const double width = 720, height = 480;
        double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
        CodeRgb first = new(N("primary_r"), N("primary_g"), N("primary_b")), second = new(N("secondary_r"), N("secondary_g"), N("secondary_b"));
        SamplePlace place = new(N("x") / width, N("y") / height, 6 / width, 6 / height);
        string group = string.Create(CultureInfo.InvariantCulture, $"area {(int)(8 * place.X)} {(int)(6 * place.Y)}");
        return new SamplePair(row["id"], group, exchanged ? second : first, exchanged ? first : second)
        {
            Origin = new SampleOrigin(0, 0, place, place),
        };
    }
}
