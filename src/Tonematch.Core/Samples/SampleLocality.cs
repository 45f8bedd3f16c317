using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Numerics;

namespace Tonematch.Samples;

/// <summary>
/// Names the localities of samples: the object, the part of the picture and the lighting state. Names are for display
/// ('the chart', 'the lower left'); within one locality, local effects of a camera are assumed to be the same.
/// </summary>
public static class SampleLocality
{
    /// <summary>The locality of everything on the chart.</summary>
    public const string Chart = "the chart";

    // Fewer pairs than this say nothing about a part of the picture on their own.
    private const int FewestPairs = 12;

    // Stops by which the relation of the two cameras must differ between instants of different lighting states.
    private const double OtherLightStops = 0.2;

    // More states would need more parameters than the pairs of a part can determine.
    private const int MostStates = 3;

    private static readonly string[] s_columns = ["left", "middle", "right"];
    private static readonly string[] s_rows = ["upper", "lower"];

    /// <summary>Whether the pairs of this locality lie on a chart.</summary>
    public static bool IsChart(string locality)
    {
        ArgumentNullException.ThrowIfNull(locality);
        return locality.StartsWith(Chart, StringComparison.Ordinal);
    }

    /// <summary>The name of a locality at one instant, for when instants differ.</summary>
    /// <param name="locality">Its name.</param>
    /// <param name="primarySeconds">The instant in the primary.</param>
    public static string At(string locality, double primarySeconds) =>
        string.Create(CultureInfo.InvariantCulture, $"{locality} at {primarySeconds:0.0} s");

    /// <summary>
    /// Names the parts of the primary's picture in which pairs lie (three columns, two rows), separately for each
    /// lighting state if there are several. A part with fewer than 12 pairs joins the nearest one that has more. Pairs
    /// without a place, and those that have a locality, stay unchanged.
    /// </summary>
    /// <param name="pairs">Pairs of the scene.</param>
    /// <param name="primary">The primary's encoding.</param>
    /// <param name="secondary">The secondary's encoding.</param>
    public static ImmutableArray<SamplePair> Named(IReadOnlyList<SamplePair> pairs, SignalEncoding primary, SignalEncoding secondary)
    {
        ArgumentNullException.ThrowIfNull(pairs);
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        SamplePair[] placed = [.. pairs.Where(IsOpen)];
        Dictionary<double, string> states = States(placed, primary, secondary);
        Dictionary<(int X, int Y, string State), int> counts = placed.CountBy(p => Part(p, states)).ToDictionary();
        Dictionary<(int X, int Y, string State), string> names = [];
        foreach ((int X, int Y, string State) part in counts.Keys)
        {
            (int X, int Y, string State)[] large = [.. counts.Keys.Where(k => counts[k] >= FewestPairs && k.State == part.State)];
            (int X, int Y, string State) to = large.Length == 0 || counts[part] >= FewestPairs
                ? part
                : large.MinBy(k => (((k.X - part.X) * (k.X - part.X)) + ((k.Y - part.Y) * (k.Y - part.Y)), -counts[k], k.X, k.Y));
            names[part] = $"the {s_rows[to.Y]} {s_columns[to.X]}{to.State}";
        }

        return [.. pairs.Select(p => IsOpen(p) ? p with { Locality = names[Part(p, states)] } : p)];
    }

    private static bool IsOpen(SamplePair pair) => pair.Origin is not null && pair.Locality.Length == 0;

    private static (int X, int Y, string State) Part(SamplePair pair, Dictionary<double, string> states) => (
        Math.Clamp((int)(s_columns.Length * pair.Origin!.Primary.X), 0, s_columns.Length - 1),
        Math.Clamp((int)(s_rows.Length * pair.Origin.Primary.Y), 0, s_rows.Length - 1),
        states[pair.Origin.PrimarySeconds]);

    // Instants with similar median stops from the secondary to the primary form one lighting state. States are not
    // named if there is only one, or if there are so many that exposure drifts rather than steps.
    private static Dictionary<double, string> States(SamplePair[] pairs, SignalEncoding primary, SignalEncoding secondary)
    {
        (double Seconds, double Stops)[] instants = [.. pairs.GroupBy(p => p.Origin!.PrimarySeconds)
            .Select(g => (g.Key, Median.Of(g.Select(p => Math.Log2(Light(primary, p.Primary) / Light(secondary, p.Secondary))))))
            .OrderBy(i => i.Item2)];
        List<List<double>> states = [];
        for (int i = 0; i < instants.Length; i++)
        {
            if (i == 0 || instants[i].Stops - instants[i - 1].Stops > OtherLightStops)
            {
                states.Add([]);
            }

            states[^1].Add(instants[i].Seconds);
        }

        bool named = states.Count is > 1 and <= MostStates;
        return states.SelectMany(s => s.Select(t => (Seconds: t, Name: named ? At("", s.Min()) : "")))
            .ToDictionary(t => t.Seconds, t => t.Name);
    }

    private static double Light(SignalEncoding encoding, CodeRgb code) => Math.Max(encoding.ToScene(code).G, 1e-3);
}
