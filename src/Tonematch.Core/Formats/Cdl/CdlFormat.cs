using System.Xml.Linq;

namespace Tonematch.Formats.Cdl;

/// <summary>
/// The XML files of the ASC CDL: .cc, .ccc and .cdl (American Society of Cinematographers, 'ASC Color Decision List
/// Transfer Functions and Interchange Syntax', version 1.2).
/// </summary>
/// <remarks>
/// The outermost element determines the kind of file, not its extension. Unknown elements and attributes are ignored,
/// as the format requires; SOPNode may be called ASC_SOP, and SatNode may be called SATNode or ASC_SAT.
/// </remarks>
public static class CdlFormat
{
    // The namespace of version 1.2.
    private static readonly XNamespace s_namespace = "urn:ASC:CDL:v1.2";

    /// <summary>Reads every correction of a file, in order.</summary>
    /// <param name="reader">The text.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <exception cref="UnusableInputException">The file is malformed or holds no correction; the message has the name and line.</exception>
    public static IReadOnlyList<CdlNumbers> Read(TextReader reader, string fileName)
    {
        XmlInput xml = new(reader, fileName);
        XElement root = xml.Root;
        IEnumerable<XElement> corrections = root.Name.LocalName switch
        {
            "ColorCorrection" => [root],
            "ColorCorrectionCollection" => Children(root, "ColorCorrection"),
            "ColorDecisionList" => Children(root, "ColorDecision").SelectMany(d => Children(d, "ColorCorrection")),
            _ => throw xml.Fault(root, $"'{XmlInput.Shown(root.Name.LocalName)}' is not the beginning of an ASC CDL file"),
        };
        List<CdlNumbers> all = [.. corrections.Select(c => ReadCorrection(xml, c))];
        return all.Count > 0 ? all : throw xml.Fault(root, "the file holds no ColorCorrection");
    }

    /// <summary>Writes corrections: LF line ends, UTF-8 declared, numbers with all their digits.</summary>
    /// <param name="writer">The output.</param>
    /// <param name="kind">The kind of file.</param>
    /// <param name="corrections">At least one; exactly one for <see cref="CdlFileKind.Correction"/>.</param>
    /// <exception cref="ArgumentException">The number of corrections does not fit the kind.</exception>
    public static void Write(TextWriter writer, CdlFileKind kind, params IReadOnlyList<CdlNumbers> corrections)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(corrections);
        if (corrections.Count == 0 || (kind == CdlFileKind.Correction && corrections.Count > 1))
        {
            throw new ArgumentException("A .cc file holds exactly one correction, the others at least one.", nameof(corrections));
        }

        IEnumerable<XElement> elements = corrections.Select(ToElement);
        XElement root = kind switch
        {
            CdlFileKind.Correction => elements.Single(),
            CdlFileKind.Collection => new XElement(s_namespace + "ColorCorrectionCollection", elements),
            CdlFileKind.DecisionList => new XElement(
                s_namespace + "ColorDecisionList", elements.Select(e => new XElement(s_namespace + "ColorDecision", e))),
            _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown kind of file."),
        };
        XmlOutput.Write(writer, root);
    }

    /// <summary>The ten numbers of a SOPNode and a SatNode anywhere in these children; a missing one changes nothing.</summary>
    internal static CdlNumbers ReadNumbers(XmlInput xml, XElement parent)
    {
        XElement? sop = Single(xml, parent, "SOPNode", "ASC_SOP");
        XElement? sat = Single(xml, parent, "SatNode", "SATNode", "ASC_SAT");
        if (sop is null && sat is null)
        {
            throw xml.Fault(parent, $"{parent.Name.LocalName} has neither a SOPNode nor a SatNode");
        }

        double[] slope = sop is null ? [1, 1, 1] : Triple(xml, sop, "Slope");
        double[] offset = sop is null ? [0, 0, 0] : Triple(xml, sop, "Offset");
        double[] power = sop is null ? [1, 1, 1] : Triple(xml, sop, "Power");
        double saturation = sat is null ? 1 : xml.Numbers(Required(xml, sat, "Saturation"), 1)[0];
        try
        {
            return new CdlNumbers(
                (slope[0], slope[1], slope[2]), (offset[0], offset[1], offset[2]), (power[0], power[1], power[2]), saturation);
        }
        catch (ArgumentException e)
        {
            string what = e.Message.Split(" (", 2)[0];
            XElement place = what.StartsWith("Saturation", StringComparison.Ordinal)
                ? sat!
                : Children(sop!, what.Split(' ')[0]).First();
            throw xml.Fault(place, what);
        }
    }

    /// <summary>SOPNode and SatNode of these numbers.</summary>
    internal static IEnumerable<XElement> ToNodes(CdlNumbers numbers, XNamespace ns)
    {
        yield return new XElement(
            ns + "SOPNode",
            new XElement(ns + "Slope", Text(numbers.Slope)),
            new XElement(ns + "Offset", Text(numbers.Offset)),
            new XElement(ns + "Power", Text(numbers.Power)));
        yield return new XElement(ns + "SatNode", new XElement(ns + "Saturation", NumberText.Of(numbers.Saturation)));
    }

    private static CdlNumbers ReadCorrection(XmlInput xml, XElement element)
    {
        string description = string.Join('\n', Children(element, "Description")
            .Concat(element.Elements().SelectMany(e => Children(e, "Description")))
            .Select(d => d.Value.Trim())
            .Where(d => d.Length > 0));
        return ReadNumbers(xml, element) with
        {
            Id = XmlInput.Attribute(element, "id") is { Length: > 0 } id ? id : null,
            Description = description.Length > 0 ? description : null,
        };
    }

    private static XElement ToElement(CdlNumbers numbers)
    {
        XElement[] nodes = [.. ToNodes(numbers, s_namespace)];
        if (numbers.Description is { Length: > 0 } text)
        {
            // Inside the SOPNode, where version 1.2 and every reader expect the description.
            nodes[0].AddFirst(text.Split('\n').Select(line => new XElement(s_namespace + "Description", XmlOutput.Legal(line))));
        }

        return new XElement(
            s_namespace + "ColorCorrection",
            numbers.Id is null ? null : new XAttribute("id", XmlOutput.Legal(numbers.Id)),
            nodes);
    }

    private static string Text((double R, double G, double B) v) =>
        $"{NumberText.Of(v.R)} {NumberText.Of(v.G)} {NumberText.Of(v.B)}";

    private static double[] Triple(XmlInput xml, XElement sop, string name) => xml.Numbers(Required(xml, sop, name), 3);

    private static XElement Required(XmlInput xml, XElement parent, string name) =>
        Single(xml, parent, name) ?? throw xml.Fault(parent, $"{parent.Name.LocalName} has no {name}");

    private static XElement? Single(XmlInput xml, XElement parent, params ReadOnlySpan<string> names)
    {
        XElement? found = null;
        foreach (XElement child in parent.Elements())
        {
            if (names.Contains(child.Name.LocalName))
            {
                found = found is null ? child : throw xml.Fault(child, $"a second {child.Name.LocalName} in {parent.Name.LocalName}");
            }
        }

        return found;
    }

    private static IEnumerable<XElement> Children(XElement parent, string name) =>
        parent.Elements().Where(e => e.Name.LocalName == name);
}
