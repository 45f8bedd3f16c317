using System.Text;
using System.Text.Json;
using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Formats;

/// <summary>A correction's numbers as JSON, for machines: written for every kind, read for the kinds that numbers define.</summary>
public static class NumbersJson
{
    private const string Schema = "tonematch-correction/1";

    // Ten numbers and some words: far more than any such file has.
    private const int LongestFile = 1 << 20;

    /// <summary>Writes the JSON, indented, LF line ends.</summary>
    public static void Write(TextWriter writer, Correction correction)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(correction);
        using MemoryStream memory = new();
        using (Utf8JsonWriter json = new(memory, new JsonWriterOptions { Indented = true, NewLine = "\n" }))
        {
            json.WriteStartObject();
            json.WriteString("schema", Schema);
            json.WriteString("kind", correction.Kind.Name());
            json.WriteString("secondary_encoding", correction.SecondaryEncoding.Name);
            json.WriteString("primary_encoding", correction.PrimaryEncoding.Name);
            json.WriteStartArray("formula");
            foreach (string line in CorrectionFormula.Of(correction))
            {
                json.WriteStringValue(line);
            }

            json.WriteEndArray();
            json.WriteStartObject("numbers");
            foreach ((string name, double value) in correction.Numbers)
            {
                json.WriteNumber(name, value);
            }

            json.WriteEndObject();
            json.WriteEndObject();
        }

        writer.Write(Encoding.UTF8.GetString(memory.ToArray()));
        writer.Write('\n');
    }

    /// <summary>Reads a correction of kind identity, gains, lift-gamma-gain, cdl or matrix.</summary>
    /// <param name="reader">The text.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <exception cref="UnusableInputException">The file is malformed or of another kind.</exception>
    public static Correction Read(TextReader reader, string fileName)
    {
        ArgumentNullException.ThrowIfNull(reader);
        ArgumentNullException.ThrowIfNull(fileName);
        StringBuilder text = new();
        char[] block = new char[4096];
        for (int n = reader.ReadBlock(block); n > 0; n = reader.ReadBlock(block))
        {
            text.Append(block, 0, n);
            if (text.Length > LongestFile)
            {
                throw Fault("longer than a million characters");
            }
        }

        try
        {
            using JsonDocument document = JsonDocument.Parse(text.ToString());
            return Read(document.RootElement);
        }
        catch (JsonException e)
        {
            throw new UnusableInputException($"{fileName}, line {(e.LineNumber ?? 0) + 1}: this is not well-formed JSON here.", e);
        }
        catch (InvalidOperationException e)
        {
            // A text with half a character in it.
            throw new UnusableInputException($"{fileName}: a text in it is not valid Unicode.", e);
        }
        catch (ArgumentException e)
        {
            throw new UnusableInputException($"{fileName}: {e.Message.Split(" (Parameter", 2)[0]}", e);
        }

        Correction Read(JsonElement root)
        {
            if (root.ValueKind != JsonValueKind.Object || Text(root, "schema") != Schema)
            {
                throw Fault($"not a correction in numbers: its schema is not '{Schema}'");
            }

            SignalEncoding secondary = NamedEncoding("secondary_encoding"), primary = NamedEncoding("primary_encoding");
            return Text(root, "kind") switch
            {
                "identity" => new IdentityCorrection(secondary, primary),
                "gains" => new GainsCorrection(secondary, primary, N("gain.r"), N("gain.g"), N("gain.b")),
                "lift-gamma-gain" => new LiftGammaGainCorrection(secondary, primary, Three("lift"), Three("gamma"), Three("gain")),
                "cdl" => new CdlCorrection(secondary, primary, Three("slope"), Three("offset"), Three("power"), N("saturation")),
                "matrix" => new MatrixCorrection(secondary, primary, new Matrix3(
                    N("m.rr"), N("m.rg"), N("m.rb"), N("m.gr"), N("m.gg"), N("m.gb"), N("m.br"), N("m.bg"), N("m.bb")))
                {
                    Veil = new SceneRgb(OrNone("veil.r"), OrNone("veil.g"), OrNone("veil.b")),
                },
                { } other => throw Fault($"a correction of kind '{XmlInput.Shown(other)}' is not defined by numbers alone; use its .cube or .clf file"),
            };

            SignalEncoding NamedEncoding(string name) => SignalEncoding.TryParse(Text(root, name), out SignalEncoding? encoding)
                ? encoding
                : throw Fault($"{name} '{XmlInput.Shown(Text(root, name))}' is not known");

            PerChannel Three(string name) => new(N(name + ".r"), N(name + ".g"), N(name + ".b"));

            // Files of the first version know no veil.
            double OrNone(string name) => root.TryGetProperty("numbers", out JsonElement numbers) && numbers.ValueKind == JsonValueKind.Object
                && numbers.TryGetProperty(name, out _) ? N(name) : 0;

            double N(string name) => root.TryGetProperty("numbers", out JsonElement numbers) && numbers.ValueKind == JsonValueKind.Object
                && numbers.TryGetProperty(name, out JsonElement value) && value.ValueKind == JsonValueKind.Number
                && value.TryGetDouble(out double number) && double.IsFinite(number)
                ? number
                : throw Fault($"the number '{name}' is missing or not a finite number");
        }

        string Text(JsonElement root, string name) =>
            root.TryGetProperty(name, out JsonElement value) && value.ValueKind == JsonValueKind.String
                ? value.GetString() ?? ""
                : throw Fault($"'{name}' is missing or not a text");

        UnusableInputException Fault(string what) => new($"{fileName}: {what}.");
    }
}
