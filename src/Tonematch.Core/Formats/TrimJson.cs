using System.Globalization;
using System.Text.Json;
using Tonematch.Corrections;

namespace Tonematch.Formats;

/// <summary>
/// A trim as JSON: <c>{"schema": "tonematch-trim-1", "exposure_stops": 0.3}</c>; omitted members are neutral.
/// </summary>
public static class TrimJson
{
    /// <summary>The version of the layout.</summary>
    public const string Schema = "tonematch-trim-1";

    /// <summary>Longer texts are refused before parsing.</summary>
    public const int LargestLength = 1 << 16;

    /// <summary>Writes every number, with LF line ends.</summary>
    public static void Write(TextWriter writer, Trim trim)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(trim);
        writer.Write($"{{\n  \"schema\": \"{Schema}\"");
        foreach ((string name, double value) in trim.Numbers)
        {
            writer.Write(string.Create(CultureInfo.InvariantCulture, $",\n  \"{name}\": {value:R}"));
        }

        writer.Write("\n}\n");
    }

    /// <summary>Reads a trim. Strict: a member that is unknown or given twice is refused.</summary>
    /// <param name="json">The whole text.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <exception cref="UnusableInputException">The text is not a trim; the message says why.</exception>
    public static Trim Read(string json, string fileName)
    {
        ArgumentNullException.ThrowIfNull(json);
        ArgumentNullException.ThrowIfNull(fileName);
        if (json.Length > LargestLength)
        {
            throw new UnusableInputException($"{fileName}: longer than {LargestLength} characters, which no trim needs. Is it the right file?");
        }

        try
        {
            using JsonDocument document = JsonDocument.Parse(json.TrimStart('\uFEFF'));
            JsonElement root = document.RootElement;
            if (root.ValueKind != JsonValueKind.Object || !root.TryGetProperty("schema", out JsonElement schema)
                || schema.ValueKind != JsonValueKind.String || schema.GetString() != Schema)
            {
                throw new UnusableInputException($"{fileName}: not a trim: its schema is not '{Schema}'.");
            }

            return Read(root, fileName);
        }
        catch (JsonException e)
        {
            throw UnusableInputException.NotJson(fileName, e);
        }
        catch (Exception e) when (e is InvalidOperationException or ArgumentException)
        {
            // An unpaired surrogate is valid JSON but not valid text.
            throw new UnusableInputException($"{fileName}: holds characters that are not text.", e);
        }
    }

    /// <summary>Reads the numbers of an object; a member 'schema' is ignored.</summary>
    /// <param name="numbers">The object.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <exception cref="UnusableInputException">A member is not a number of a trim, or out of its range.</exception>
    public static Trim Read(JsonElement numbers, string fileName)
    {
        if (numbers.ValueKind != JsonValueKind.Object)
        {
            throw new UnusableInputException($"{fileName}: the trim is not a list of named numbers.");
        }

        try
        {
            return Trim.Of(numbers.EnumerateObject().Where(p => p.Name != "schema").Select(p => (p.Name, p.Value.ValueKind == JsonValueKind.Number && p.Value.TryGetDouble(out double value)
                ? value
                : throw new ArgumentException($"'{p.Name}' is not a number."))));
        }
        catch (ArgumentException e)
        {
            throw new UnusableInputException($"{fileName}: {e.Message}", e);
        }
    }
}
