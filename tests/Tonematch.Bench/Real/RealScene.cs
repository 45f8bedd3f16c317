using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Fitting;
using Tonematch.Samples;
using Tonematch.Testing;

namespace Tonematch.Bench.Real;

/// <summary>One thing as two real devices recorded it, at its place on the board.</summary>
/// <param name="Id">patch-01..24 or ground-NNN.</param>
/// <param name="X">Board coordinates, the board is 1200 wide.</param>
/// <param name="Y">Board coordinates, the board is 1000 high.</param>
/// <param name="First">Code values of the phone.</param>
/// <param name="Second">Code values of the small camera.</param>
/// <param name="FirstSpread">Largest standard deviation of the phone's channels inside.</param>
/// <param name="SecondSpread">The same of the small camera.</param>
internal sealed record RealThing(string Id, double X, double Y, CodeRgb First, CodeRgb Second, double FirstSpread, double SecondSpread);

/// <summary>A scene with a chart on a board that lies on the ground, photographed by a phone and a small camera.</summary>
/// <param name="Name">What the table calls it.</param>
/// <param name="Patches">The unclipped patches of the chart.</param>
/// <param name="Ground">The unclipped, plain cells of the ground around the board.</param>
internal sealed record RealScene(string Name, ImmutableArray<RealThing> Patches, ImmutableArray<RealThing> Ground)
{
    // Cells with more texture than this compare different things as soon as the places are off by a little.
    private const double LargestSpread = 0.14;

    // The ground that was measured lies within this square of the board's units.
    private const double Left = -800;
    private const double Side = 2800;

    /// <summary>Reads board-scenes.csv.</summary>
    public static ImmutableArray<RealScene> Read(string path)
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows = CsvTable.Read(path);
        return
        [
            .. rows.GroupBy(r => r["scene"]).Select(s => new RealScene(
                s.Key,
                [.. s.Where(r => r["kind"] == "patch" && r["clipped"] == "0").Select(Thing)],
                [.. s.Where(r => r["kind"] == "ground" && r["clipped"] == "0").Select(Thing)
                    .Where(t => t.FirstSpread <= LargestSpread && t.SecondSpread <= LargestSpread)])),
        ];
    }

    /// <summary>Pairs of some things; <paramref name="exchanged"/>: the small camera is the primary.</summary>
    public static SampleSet Samples(IEnumerable<RealThing> things, bool exchanged)
    {
        (SignalEncoding primary, SignalEncoding secondary) =
            exchanged ? (SignalEncoding.Srgb, SignalEncoding.DisplayP3) : (SignalEncoding.DisplayP3, SignalEncoding.Srgb);
        SamplePair[] pairs = [.. things.Select(t => Pair(t, exchanged))];
        SampleSet chart = new(primary, secondary, SamplingMethod.Chart, [.. pairs.Where(p => p.Locality == SampleLocality.Chart)]);
        SamplePair[] ground = [.. pairs.Where(p => p.Locality.Length == 0)];
        return chart.Pairs.IsEmpty ? chart with { Method = SamplingMethod.Overlap, Pairs = [.. ground] } : ChartInScene.Joined(chart, ground, CancellationToken.None);
    }

    private static SamplePair Pair(RealThing t, bool exchanged)
    {
        // The pictures are as wide as the ground that was measured; a place in one is the same place in the other.
        SamplePlace place = new((t.X - Left) / Side, (t.Y - Left) / Side, 52 / Side, 52 / Side);
        SamplePair pair = new(t.Id, t.Id, t.First, t.Second)
        {
            PrimarySpread = CodeRgb.Grey(t.FirstSpread),
            SecondarySpread = CodeRgb.Grey(t.SecondSpread),
            Origin = new SampleOrigin(0, 0, place, place),
            Locality = t.Id.StartsWith("patch", StringComparison.Ordinal) ? SampleLocality.Chart : "",
        };
        return exchanged
            ? pair with { Primary = t.Second, Secondary = t.First, PrimarySpread = pair.SecondarySpread, SecondarySpread = pair.PrimarySpread }
            : pair;
    }

    private static RealThing Thing(IReadOnlyDictionary<string, string> row)
    {
        double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
        return new RealThing(
            row["id"],
            N("x"),
            N("y"),
            new CodeRgb(N("primary_r"), N("primary_g"), N("primary_b")),
            new CodeRgb(N("secondary_r"), N("secondary_g"), N("secondary_b")),
            N("spread_primary"),
            N("spread_secondary"));
    }
}
