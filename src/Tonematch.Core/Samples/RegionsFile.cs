using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// Reads a list of regions from JSON text: an array of objects with <c>name</c>, <c>primary</c>, <c>secondary</c> and
/// optionally <c>at</c> (seconds); a place is <c>x, y, width, height</c> or <c>polygon: [[x, y], ...]</c>. The format
/// is described in docs/formats.md. Strict: a member that is unknown or given twice is refused, not ignored.
/// </summary>
public static class RegionsFile
{
    /// <summary>Longer texts are refused before parsing.</summary>
    public const int LargestLength = 1_000_000;

    /// <summary>More regions than this are refused.</summary>
    public const int MostRegions = 1000;

    /// <summary>Reads the regions in the order of the file.</summary>
    /// <param name="json">The whole text.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <exception cref="UnusableInputException">The text is not a list of regions; the message says where and why.</exception>
    public static ImmutableArray<RegionPair> Parse(string json, string fileName)
    {
        ArgumentNullException.ThrowIfNull(json);
        ArgumentNullException.ThrowIfNull(fileName);
        if (json.Length > LargestLength)
        {
            throw new UnusableInputException($"{fileName}: longer than {LargestLength} characters, which no list of regions needs. Is it the right file?");
        }

        try
        {
            using JsonDocument document = JsonDocument.Parse(json.TrimStart('\uFEFF'));
            return ReadList(document.RootElement, fileName);
        }
        catch (JsonException e)
        {
            string line = e.LineNumber is long n ? $" line {(n + 1).ToString(CultureInfo.InvariantCulture)}" : "";
            throw new UnusableInputException($"{fileName}{line}: not valid JSON. A list of regions looks like {Example}", e);
        }
        catch (Exception e) when (e is InvalidOperationException or ArgumentException)
        {
            // An unpaired surrogate is valid JSON but not valid text.
            throw new UnusableInputException($"{fileName}: holds characters that are not text. A list of regions looks like {Example}", e);
        }
    }

    private const string Example =
        """[{"name": "apron", "primary": {"x": 0.4, "y": 0.5, "width": 0.05, "height": 0.05}, "secondary": {...}}].""";

    private static ImmutableArray<RegionPair> ReadList(JsonElement root, string fileName)
    {
        if (root.ValueKind != JsonValueKind.Array)
        {
            throw new UnusableInputException($"{fileName}: not a list. A list of regions looks like {Example}");
        }

        if (root.GetArrayLength() is 0 or > MostRegions)
        {
            throw new UnusableInputException($"{fileName}: {root.GetArrayLength()} regions; at least 1 and at most {MostRegions} are expected.");
        }

        ImmutableArray<RegionPair>.Builder regions = ImmutableArray.CreateBuilder<RegionPair>();
        HashSet<(string, double?)> names = [];
        int number = 0;
        foreach (JsonElement element in root.EnumerateArray())
        {
            RegionPair region = ReadRegion(element, $"{fileName}: region {++number}");
            if (!names.Add((region.Name, region.AtSeconds)))
            {
                throw new UnusableInputException($"{fileName}: region {number} has the name '{region.Name}', which an earlier one has. Give each its own name.");
            }

            regions.Add(region);
        }

        return regions.ToImmutable();
    }

    private static RegionPair ReadRegion(JsonElement element, string where)
    {
        Dictionary<string, JsonElement> members = Members(element, where, "name", "primary", "secondary", "at");
        string name = members.TryGetValue("name", out JsonElement n) && n.ValueKind == JsonValueKind.String ? n.GetString()!.Trim() : "";
        if (name.Length == 0)
        {
            throw new UnusableInputException($"{where} has no 'name' (a text that says what it is).");
        }

        if (RegionPair.WhyNoName(name) is { } why)
        {
            throw new UnusableInputException($"{where}: {why}.");
        }

        where = $"{where} ('{name}')";
        double? at = members.TryGetValue("at", out JsonElement t) ? Number(t, "at", where) : null;
        return new RegionPair(name, Shape("primary"), Shape("secondary"), at);

        RegionShape Shape(string side) => members.TryGetValue(side, out JsonElement e)
            ? ReadShape(e, $"{where}, {side}")
            : throw new UnusableInputException($"{where} has no '{side}': give x, y, width, height or a polygon.");
    }

    private static RegionShape ReadShape(JsonElement element, string where)
    {
        Dictionary<string, JsonElement> members = Members(element, where, "x", "y", "width", "height", "polygon");
        try
        {
            if (members.TryGetValue("polygon", out JsonElement polygon))
            {
                if (members.Count > 1 || polygon.ValueKind != JsonValueKind.Array || polygon.GetArrayLength() is < 3 or > 1000)
                {
                    throw new UnusableInputException($"{where}: a polygon stands alone and is a list of 3 to 1000 corners [x, y].");
                }

                return new RegionShape([.. polygon.EnumerateArray().Select(c => Corner(c, where))]);
            }

            return RegionShape.Box(Required("x"), Required("y"), Required("width"), Required("height"));
        }
        catch (ArgumentException)
        {
            throw new UnusableInputException($"{where}: numbers must be 0 or more, width and height above 0.");
        }

        double Required(string name) => members.TryGetValue(name, out JsonElement e)
            ? Number(e, name, where)
            : throw new UnusableInputException($"{where} has no '{name}': give x, y, width, height or a polygon.");
    }

    private static PicturePoint Corner(JsonElement element, string where)
    {
        if (element.ValueKind != JsonValueKind.Array || element.GetArrayLength() != 2)
        {
            throw new UnusableInputException($"{where}: a corner of a polygon is [x, y].");
        }

        return new PicturePoint(Number(element[0], "x", where), Number(element[1], "y", where));
    }

    private static double Number(JsonElement element, string name, string where) =>
        element.ValueKind == JsonValueKind.Number && element.TryGetDouble(out double value) && double.IsFinite(value)
            ? value
            : throw new UnusableInputException($"{where}: '{name}' is not a number.");

    private static Dictionary<string, JsonElement> Members(JsonElement element, string where, params string[] known)
    {
        if (element.ValueKind != JsonValueKind.Object)
        {
            throw new UnusableInputException($"{where} is not an object with {string.Join(", ", known)}.");
        }

        Dictionary<string, JsonElement> members = [];
        foreach (JsonProperty property in element.EnumerateObject())
        {
            if (!known.Contains(property.Name))
            {
                throw new UnusableInputException($"{where} has '{(property.Name.Length > 60 ? property.Name[..60] + "..." : property.Name)}', which is not known. Known are {string.Join(", ", known)}.");
            }

            if (!members.TryAdd(property.Name, property.Value))
            {
                throw new UnusableInputException($"{where} has '{property.Name}' twice.");
            }
        }

        return members;
    }
}
