using System.Buffers;
using System.Collections.Immutable;
using System.Text;
using System.Text.Json;
using Tonematch.Corrections;
using Tonematch.Formats;
using Tonematch.Matching.Requests;
using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Workbench.Session;

/// <summary>A session as JSON (docs/formats.md). Strict: a member that is unknown or given twice is refused.</summary>
public static class SessionJson
{
    /// <summary>The version of the layout.</summary>
    public const string Schema = "tonematch-workbench-1";

    /// <summary>Longer texts are refused before parsing.</summary>
    public const int LargestLength = 4_000_000;

    private const int MostMatches = 100, MostIds = 20_000;

    /// <summary>The session as text with LF line ends.</summary>
    /// <param name="session">The session.</param>
    /// <param name="nameOf">Converts a clip's path to its written form.</param>
    public static string Write(WorkbenchSession session, Func<string, string> nameOf)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(nameOf);
        ArrayBufferWriter<byte> buffer = new();
        using (Utf8JsonWriter json = new(buffer, new JsonWriterOptions { Indented = true, NewLine = "\n", Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping }))
        {
            json.WriteStartObject();
            json.WriteString("schema", Schema);
            json.WriteString("primary", session.Primary is { } p ? nameOf(p) : null);
            json.WriteNumber("lut_size", session.LutSize);
            json.WriteStartArray("secondaries");
            foreach (SessionMatch match in session.Secondaries)
            {
                Write(json, match, nameOf);
            }

            json.WriteEndArray();
            json.WriteEndObject();
        }

        return Encoding.UTF8.GetString(buffer.WrittenSpan) + "\n";
    }

    /// <summary>Reads a session.</summary>
    /// <param name="text">The whole text.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <param name="pathOf">Converts the written form to a clip's path.</param>
    /// <exception cref="UnusableInputException">The text is not a session; the message says why.</exception>
    public static WorkbenchSession Read(string text, string fileName, Func<string, string> pathOf)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(pathOf);
        if (text.Length > LargestLength)
        {
            throw new UnusableInputException($"{fileName}: longer than {LargestLength} characters, which no session needs. Is it the right file?");
        }

        try
        {
            using JsonDocument document = JsonDocument.Parse(text.TrimStart('\uFEFF'));
            return new Reader(fileName, pathOf).Session(document.RootElement);
        }
        catch (JsonException e)
        {
            throw UnusableInputException.NotJson(fileName, e);
        }
        catch (Exception e) when (e is InvalidOperationException or ArgumentException)
        {
            throw new UnusableInputException($"{fileName}: {e.Message.Split(" (Parameter", 2)[0]}", e);
        }
    }

    private static void Write(Utf8JsonWriter json, SessionMatch match, Func<string, string> nameOf)
    {
        json.WriteStartObject();
        json.WriteString("clip", nameOf(match.Clip));
        if (match.OffsetSeconds is { } offset)
        {
            json.WriteNumber("offset_seconds", offset);
            json.WriteNumber("drift_ppm", match.DriftPpm);
        }

        WriteText(json, "method", match.Method?.Name());
        WriteText(json, "chart", match.Chart);
        WriteTexts(json, "at", match.At);
        WriteCorners(json, "primary_chart", match.PrimaryChart);
        WriteCorners(json, "secondary_chart", match.SecondaryChart);
        WriteTexts(json, "left_out", match.Edits.LeftOut);
        if (!match.Edits.Weights.IsEmpty)
        {
            json.WriteStartObject("weights");
            foreach ((string group, double weight) in match.Edits.Weights)
            {
                json.WriteNumber(group, weight);
            }

            json.WriteEndObject();
        }

        if (!match.Edits.Marked.IsEmpty)
        {
            json.WriteStartArray("regions");
            foreach (RegionPair region in match.Edits.Marked)
            {
                json.WriteStartObject();
                json.WriteString("name", region.Name);
                WriteShape(json, "primary", region.Primary);
                WriteShape(json, "secondary", region.Secondary);
                if (region.AtSeconds is { } at)
                {
                    json.WriteNumber("at", at);
                }

                json.WriteEndObject();
            }

            json.WriteEndArray();
        }

        WriteText(json, "model", match.Model?.Name());
        if (match.Trim != Trim.None)
        {
            json.WriteStartObject("trim");
            foreach ((string name, double value) in match.Trim.Numbers)
            {
                json.WriteNumber(name, value);
            }

            json.WriteEndObject();
        }

        json.WriteEndObject();
    }

    private static void WriteText(Utf8JsonWriter json, string name, string? text)
    {
        if (text is not null)
        {
            json.WriteString(name, text);
        }
    }

    private static void WriteTexts(Utf8JsonWriter json, string name, IReadOnlyCollection<string> texts)
    {
        if (texts.Count > 0)
        {
            json.WriteStartArray(name);
            foreach (string text in texts)
            {
                json.WriteStringValue(text);
            }

            json.WriteEndArray();
        }
    }

    private static void WriteCorners(Utf8JsonWriter json, string name, ImmutableArray<PicturePoint>? corners)
    {
        if (corners is { } given)
        {
            json.WritePropertyName(name);
            WritePoints(json, given);
        }
    }

    private static void WriteShape(Utf8JsonWriter json, string name, RegionShape shape)
    {
        json.WriteStartObject(name);
        json.WritePropertyName("polygon");
        WritePoints(json, shape.Corners);
        json.WriteEndObject();
    }

    private static void WritePoints(Utf8JsonWriter json, ImmutableArray<PicturePoint> points)
    {
        json.WriteStartArray();
        foreach (PicturePoint point in points)
        {
            json.WriteStartArray();
            json.WriteNumberValue(point.X);
            json.WriteNumberValue(point.Y);
            json.WriteEndArray();
        }

        json.WriteEndArray();
    }

    private sealed class Reader(string fileName, Func<string, string> pathOf)
    {
        public WorkbenchSession Session(JsonElement root)
        {
            Dictionary<string, JsonElement> members = Members(root, "the session", "schema", "primary", "lut_size", "secondaries");
            if (!members.TryGetValue("schema", out JsonElement schema) || schema.ValueKind != JsonValueKind.String || schema.GetString() != Schema)
            {
                throw Wrong($"not a session: its schema is not '{Schema}'");
            }

            int size = members.TryGetValue("lut_size", out JsonElement s) && s.ValueKind != JsonValueKind.Null ? (int)Number(s, "lut_size") : 33;
            if (size is < 2 or > 129)
            {
                throw Wrong("lut_size must be from 2 to 129");
            }

            SessionMatch[] matches = members.TryGetValue("secondaries", out JsonElement list) ? [.. List(list, "secondaries", MostMatches).Select(Match)] : [];
            return new WorkbenchSession
            {
                Primary = Text(members, "primary") is { } primary ? pathOf(primary) : null,
                Secondaries = [.. matches],
                LutSize = size,
            };
        }

        private SessionMatch Match(JsonElement element)
        {
            Dictionary<string, JsonElement> m = Members(
                element, "a secondary", "clip", "offset_seconds", "drift_ppm", "method", "chart", "at", "primary_chart", "secondary_chart", "left_out", "weights", "regions", "model", "trim");
            SamplingMethod? method = Text(m, "method") switch
            {
                null => null,
                "chart" => SamplingMethod.Chart,
                "overlap" => SamplingMethod.Overlap,
                "regions" => SamplingMethod.Regions,
                "overall" => SamplingMethod.Overall,
                { } word => throw Wrong($"the method '{word}' is not known"),
            };
            CorrectionKind? model = Text(m, "model") is not { } name ? null
                : CorrectionKinds.TryParse(name, out CorrectionKind? kind) ? kind : throw Wrong($"the kind of correction '{name}' is not known");
            return new SessionMatch(pathOf(Text(m, "clip") ?? throw Wrong("a secondary has no 'clip'")))
            {
                OffsetSeconds = Given(m, "offset_seconds") is { } offset ? Number(offset, "offset_seconds") : null,
                DriftPpm = Given(m, "drift_ppm") is { } drift ? Number(drift, "drift_ppm") : 0,
                Method = method,
                Chart = Text(m, "chart"),
                At = [.. Texts(m, "at", 100)],
                PrimaryChart = Corners(m, "primary_chart"),
                SecondaryChart = Corners(m, "secondary_chart"),
                Edits = new SampleEdits
                {
                    LeftOut = [.. Texts(m, "left_out", MostIds)],
                    Weights = Given(m, "weights") is { } weights ? Weights(weights) : SampleEdits.None.Weights,
                    Marked = Given(m, "regions") is { } regions ? RegionsFile.Parse(regions.GetRawText(), fileName) : [],
                },
                Model = model,
                Trim = Given(m, "trim") is { } trim ? TrimJson.Read(trim, fileName) : Trim.None,
            };
        }

        private ImmutableSortedDictionary<string, double> Weights(JsonElement weights)
        {
            if (weights.ValueKind != JsonValueKind.Object)
            {
                throw Wrong("'weights' is not an object of numbers by name");
            }

            ImmutableSortedDictionary<string, double>.Builder all = SampleEdits.None.Weights.ToBuilder();
            foreach (JsonProperty property in weights.EnumerateObject())
            {
                double weight = Number(property.Value, property.Name);
                all[property.Name] = weight is >= SampleEdits.LeastWeight and <= SampleEdits.GreatestWeight
                    ? weight
                    : throw Wrong($"the weight of '{property.Name}' must be from {SampleEdits.LeastWeight} to {SampleEdits.GreatestWeight}");
            }

            return all.ToImmutable();
        }

        private ImmutableArray<PicturePoint>? Corners(Dictionary<string, JsonElement> members, string name) => Given(members, name) is not { } corners ? null
            : List(corners, name, 4) is { Length: 4 } four
                ? [.. four.Select(c => List(c, name, 2) is [var x, var y] ? new PicturePoint(Number(x, name), Number(y, name)) : throw Wrong($"'{name}' holds a corner that is not [x, y]"))]
                : throw Wrong($"'{name}' is not four corners");

        private IEnumerable<string> Texts(Dictionary<string, JsonElement> members, string name, int most) => Given(members, name) is { } list
            ? List(list, name, most).Select(t => t.ValueKind == JsonValueKind.String ? t.GetString()! : throw Wrong($"'{name}' holds something that is not a text"))
            : [];

        private JsonElement[] List(JsonElement element, string name, int most) => element.ValueKind != JsonValueKind.Array ? throw Wrong($"'{name}' is not a list")
            : element.GetArrayLength() > most ? throw Wrong($"'{name}' holds more than {most} entries")
            : [.. element.EnumerateArray()];

        private double Number(JsonElement element, string name) =>
            element.ValueKind == JsonValueKind.Number && element.TryGetDouble(out double value) && double.IsFinite(value) ? value : throw Wrong($"'{name}' is not a number");

        private string? Text(Dictionary<string, JsonElement> members, string name) => Given(members, name) is not { } text ? null
            : text.ValueKind == JsonValueKind.String ? text.GetString() : throw Wrong($"'{name}' is not a text");

        private static JsonElement? Given(Dictionary<string, JsonElement> members, string name) =>
            members.TryGetValue(name, out JsonElement element) && element.ValueKind != JsonValueKind.Null ? element : null;

        private Dictionary<string, JsonElement> Members(JsonElement element, string what, params string[] known)
        {
            if (element.ValueKind != JsonValueKind.Object)
            {
                throw Wrong($"{what} is not an object");
            }

            Dictionary<string, JsonElement> members = [];
            foreach (JsonProperty property in element.EnumerateObject())
            {
                if (!known.Contains(property.Name) || !members.TryAdd(property.Name, property.Value))
                {
                    throw Wrong($"{what} has {(known.Contains(property.Name) ? "two members" : "an unknown member")} '{property.Name}'");
                }
            }

            return members;
        }

        private UnusableInputException Wrong(string why) => new($"{fileName}: {why}.");
    }
}
