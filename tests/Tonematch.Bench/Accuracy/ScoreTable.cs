using System.Globalization;
using Tonematch.Colour.DeltaE;

namespace Tonematch.Bench.Accuracy;

/// <summary>Collects the differences of each method in each scenario and prints medians over scenarios.</summary>
internal sealed class ScoreTable
{
    private readonly List<(string Method, int Scenario, string[] Families, double Mean, double P95)> _rows = [];
    private readonly SortedDictionary<string, int> _advised = new(StringComparer.Ordinal);

    public void Add(string method, int scenario, string[] families, double[] differences)
    {
        DeltaEStatistics s = DeltaEStatistics.Of(differences);
        _rows.Add((method, scenario, families, s.Mean, s.Percentile95));
    }

    public void Count(string kind) => _advised[kind] = _advised.GetValueOrDefault(kind) + 1;

    public void Print(string own, string[] peers, string floor)
    {
        string[] methods = [.. _rows.Select(r => r.Method).Distinct()];
        Dictionary<int, double> identity = _rows.Where(r => r.Method == "identity").ToDictionary(r => r.Scenario, r => r.Mean);
        Console.WriteLine();
        Console.WriteLine("| method | median of means | median of 95th percentiles | average of means | average of 95th | worst mean | worse than nothing |");
        Console.WriteLine("|---|---|---|---|---|---|---|");
        foreach (string m in methods)
        {
            var of = _rows.Where(r => r.Method == m).ToArray();
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"| {m} | {Median(of.Select(r => r.Mean)):0.000} | {Median(of.Select(r => r.P95)):0.000} | {of.Average(r => r.Mean):0.000} | {of.Average(r => r.P95):0.000} | {of.Max(r => r.Mean):0.00} | {of.Count(r => r.Mean > identity[r.Scenario] + 1e-9)} of {of.Length} |"));
        }

        if (!methods.Contains(peers[1])) { return; }
        double ownMean = Median(_rows.Where(r => r.Method == own).Select(r => r.Mean));
        double ownP95 = Median(_rows.Where(r => r.Method == own).Select(r => r.P95));
        (string Name, double Value) best = Best(peers, r => r.Mean, _ => true), best95 = Best(peers, r => r.P95, _ => true);
        Console.WriteLine();
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"Against the best peer: mean {(ownMean / best.Value) - 1:+0.0 %;-0.0 %} ({best.Name}), 95th percentile {(ownP95 / best95.Value) - 1:+0.0 %;-0.0 %} ({best95.Name})."));
        Console.WriteLine();
        Console.WriteLine("| beside, scenario by scenario | own mean lower in | own 95th lower in |");
        Console.WriteLine("|---|---|---|");
        foreach (string peer in peers)
        {
            Console.WriteLine($"| {peer} | {Wins(own, peer, r => r.Mean)} | {Wins(own, peer, r => r.P95)} |");
        }

        Console.WriteLine();
        if (methods.Contains(floor))
        {
            Dictionary<int, double> floors = _rows.Where(r => r.Method == floor).ToDictionary(r => r.Scenario, r => r.Mean);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"Mean against the floor: {ownMean / Median(floors.Values):0.00} times (median against median); median of the ratios {Median(_rows.Where(r => r.Method == own).Select(r => r.Mean / floors[r.Scenario])):0.00}."));
        }

        Console.WriteLine();
        Console.WriteLine("| family | own mean | best peer | own 95th | best peer |");
        Console.WriteLine("|---|---|---|---|---|");
        foreach (string family in _rows.SelectMany(r => r.Families).Distinct().Order())
        {
            bool In((string Method, int Scenario, string[] Families, double Mean, double P95) r) => r.Families.Contains(family);
            double mean = Median(_rows.Where(r => r.Method == own && In(r)).Select(r => r.Mean));
            double p95 = Median(_rows.Where(r => r.Method == own && In(r)).Select(r => r.P95));
            (string Name, double Value) b = Best(peers, r => r.Mean, In), b95 = Best(peers, r => r.P95, In);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"| {family} | {mean:0.000} | {b.Value:0.000} ({b.Name}) | {p95:0.000} | {b95.Value:0.000} ({b95.Name}) |"));
        }

        Console.WriteLine();
        Console.WriteLine("Advised: " + string.Join(", ", _advised.Select(a => $"{a.Key} {a.Value}")));
    }

    private string Wins(
        string own, string peer, Func<(string Method, int Scenario, string[] Families, double Mean, double P95), double> value)
    {
        Dictionary<int, double> theirs = _rows.Where(r => r.Method == peer).ToDictionary(r => r.Scenario, value);
        return $"{_rows.Count(r => r.Method == own && value(r) < theirs[r.Scenario])} of {theirs.Count}";
    }

    private (string Name, double Value) Best(
        string[] peers,
        Func<(string Method, int Scenario, string[] Families, double Mean, double P95), double> value,
        Func<(string Method, int Scenario, string[] Families, double Mean, double P95), bool> which) =>
        peers.Select(p => (p, Median(_rows.Where(r => r.Method == p && which(r)).Select(value)))).MinBy(t => t.Item2);

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        int n = sorted.Length;
        return n == 0 ? double.NaN : n % 2 == 1 ? sorted[n / 2] : (sorted[(n / 2) - 1] + sorted[n / 2]) / 2;
    }
}
