using System.Collections.Immutable;
using System.Globalization;
using System.Reflection;
using System.Text.Json;
using Tonematch.Colour;

namespace Tonematch.Samples.Charts;

/// <summary>A chart: its layout and the colours of its patches, with their illuminant and source.</summary>
public sealed record ChartReference
{
    private const string ResourcePrefix = "refcharts/";
    private const string Schema = "tonematch-chart-1";
    private static readonly Lazy<ImmutableArray<ChartReference>> s_all = new(LoadAll);

    private ChartReference(
        string name, string title, ChartLayout layout, string illuminant, Xyz white, string observer, string source,
        string note, ImmutableArray<ReferencePatch> patches) =>
        (Name, Title, Layout, Illuminant, White, Observer, Source, Note, Patches) =
        (name, title, layout, illuminant, white, observer, source, note, patches);

    /// <summary>The charts that come with the program (the files of refcharts/), by name.</summary>
    public static ImmutableArray<ChartReference> All => s_all.Value;

    /// <summary>The 24-patch chart as made since November 2014: the default chart.</summary>
    public static ChartReference Chart24 => Find("chart24") ?? throw new InvalidOperationException("refcharts/chart24.json is missing.");

    /// <summary>Short name for options and files.</summary>
    public string Name { get; }

    /// <summary>The display name.</summary>
    public string Title { get; }

    /// <summary>The arrangement of the patches.</summary>
    public ChartLayout Layout { get; }

    /// <summary>The illuminant of the colours.</summary>
    public string Illuminant { get; }

    /// <summary>The illuminant's white, Y = 1.</summary>
    public Xyz White { get; }

    /// <summary>The standard observer of the colours.</summary>
    public string Observer { get; }

    /// <summary>The publication of the numbers, or how they were measured.</summary>
    public string Source { get; }

    /// <summary>Remarks on its use; may be empty.</summary>
    public string Note { get; }

    /// <summary>The patches row by row from the top left, as many as the layout has.</summary>
    public ImmutableArray<ReferencePatch> Patches { get; }

    /// <summary>Finds a chart that comes with the program by its name; null if unknown.</summary>
    public static ChartReference? Find(string? name) =>
        All.FirstOrDefault(c => string.Equals(c.Name, name, StringComparison.OrdinalIgnoreCase));

    /// <summary>
    /// A patch's code values in an encoding, in a picture whose white is the perfect diffuser. The illuminant is
    /// adapted to the encoding's white by the Bradford transform (as in ICC.1:2022 annex E). Not clamped.
    /// </summary>
    public CodeRgb CodeOf(int patch, SignalEncoding encoding)
    {
        ArgumentNullException.ThrowIfNull(encoding);
        return encoding.FromXyz(Bradford(Patches[patch].Colour, White, encoding.White));
    }

    /// <summary>A patch's CIELAB relative to the chart's own illuminant.</summary>
    public Lab LabOf(int patch) => Lab.FromXyz(Patches[patch].Colour, White);

    /// <summary>Reads a chart from JSON text (the format of refcharts/, described in docs/formats.md).</summary>
    /// <exception cref="UnusableInputException">The text is not a chart file; the message says why.</exception>
    public static ChartReference Parse(string json, string fileName)
    {
        ArgumentNullException.ThrowIfNull(json);
        if (json.Length > 1_000_000)
        {
            throw new UnusableInputException($"{fileName}: longer than a million characters, which no chart needs. Is it the right file?");
        }

        try
        {
            using JsonDocument document = JsonDocument.Parse(json.TrimStart('\uFEFF'));
            return Read(document.RootElement, fileName);
        }
        catch (JsonException e)
        {
            string line = e.LineNumber is long n ? $" line {(n + 1).ToString(CultureInfo.InvariantCulture)}" : "";
            throw new UnusableInputException($"{fileName}{line}: not valid JSON.", e);
        }
        catch (Exception e) when (e is KeyNotFoundException or InvalidOperationException or FormatException or ArgumentException or IndexOutOfRangeException)
        {
            throw new UnusableInputException(
                $"{fileName}: not a chart. It needs schema, name, title, columns, rows, patch_share, white (name, x, y), observer, source, note and patches (each a name with lab or xyY), as the files in refcharts have.", e);
        }
    }

    private static ChartReference Read(JsonElement root, string fileName)
    {
        if (root.GetProperty("schema").GetString() != Schema)
        {
            throw new UnusableInputException($"{fileName}: 'schema' is not {Schema}.");
        }

        ChartLayout layout = new(
            root.GetProperty("columns").GetInt32(), root.GetProperty("rows").GetInt32(), root.GetProperty("patch_share").GetDouble());
        JsonElement w = root.GetProperty("white");
        Xyz white = new Chromaticity(w.GetProperty("x").GetDouble(), w.GetProperty("y").GetDouble()).ToXyz();
        ImmutableArray<ReferencePatch> patches = [.. root.GetProperty("patches").EnumerateArray().Select(p => Patch(p, white))];
        if (patches.Length != layout.Count)
        {
            throw new UnusableInputException(
                $"{fileName}: {patches.Length} patches, but {layout.Columns} columns and {layout.Rows} rows need {layout.Count}.");
        }

        if (patches.Any(p => !double.IsFinite(p.Colour.X + p.Colour.Y + p.Colour.Z) || p.Colour.Y is < 0 or > 1.2))
        {
            throw new UnusableInputException($"{fileName}: a patch is not the colour of a surface (its Y must be 0 to 1).");
        }

        return new ChartReference(
            Text("name"), Text("title"), layout, w.GetProperty("name").GetString() ?? "", white, Text("observer"), Text("source"), Text("note"), patches);

        string Text(string name) => root.GetProperty(name).GetString() ?? "";
    }

    private static ReferencePatch Patch(JsonElement p, Xyz white)
    {
        string name = p.GetProperty("name").GetString() ?? "";
        if (p.TryGetProperty("lab", out JsonElement lab))
        {
            return new ReferencePatch(name, new Lab(lab[0].GetDouble(), lab[1].GetDouble(), lab[2].GetDouble()).ToXyz(white));
        }

        JsonElement xyY = p.GetProperty("xyY");
        Xyz c = new Chromaticity(xyY[0].GetDouble(), xyY[1].GetDouble()).ToXyz();
        double y = xyY[2].GetDouble();
        return new ReferencePatch(name, new Xyz(c.X * y, y, c.Z * y));
    }

    private static ImmutableArray<ChartReference> LoadAll()
    {
        Assembly assembly = typeof(ChartReference).Assembly;
        return [.. assembly.GetManifestResourceNames()
            .Where(n => n.StartsWith(ResourcePrefix, StringComparison.Ordinal))
            .Order(StringComparer.Ordinal)
            .Select(n =>
            {
                using StreamReader reader = new(assembly.GetManifestResourceStream(n)!);
                return Parse(reader.ReadToEnd(), n);
            })];
    }

    private static Xyz Bradford(Xyz c, Xyz from, Xyz to)
    {
        Matrix3 cone = new(
            0.8951, 0.2664, -0.1614,
            -0.7502, 1.7135, 0.0367,
            0.0389, -0.0685, 1.0296);
        (double r1, double g1, double b1) = cone.Times(from.X, from.Y, from.Z);
        (double r2, double g2, double b2) = cone.Times(to.X, to.Y, to.Z);
        Matrix3 m = cone.Inverse() * Matrix3.Diagonal(r2 / r1, g2 / g1, b2 / b1) * cone;
        (double x, double y, double z) = m.Times(c.X, c.Y, c.Z);
        return new Xyz(x, y, z);
    }
}
