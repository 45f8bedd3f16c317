using System.Collections.Immutable;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Tonematch.Colour;
using Tonematch.Formats.Cdl;
using Tonematch.Luts.Tables;

namespace Tonematch.Formats.Clf;

/// <summary>Reads one CLF file: <see cref="ClfFormat.Read"/>.</summary>
internal sealed partial class ClfReader(XmlInput xml)
{
    private const string SmpteNamespace = "http://www.smpte-ra.org/ns/2136-1/2024";
    private const string SignatureNamespace = "http://www.w3.org/2000/09/xmldsig#";
    private const double NewestVersion = 3;

    private static readonly Dictionary<string, double> s_depths = new()
    {
        ["8i"] = 255,
        ["10i"] = 1023,
        ["12i"] = 4095,
        ["16i"] = 65535,
        ["16f"] = 1,
        ["32f"] = 1,
    };

    private readonly XElement _root = xml.Root;
    private double _version;

    public ClfFile ReadFile()
    {
        if (_root.Name.LocalName != "ProcessList")
        {
            throw xml.Fault(_root, $"'{XmlInput.Shown(_root.Name.LocalName)}' is not the beginning of a CLF file (ProcessList)");
        }

        _version = ReadVersion();
        List<ClfNode> nodes = [];
        string? depth = null, id = XmlInput.Attribute(_root, "id");
        foreach (XElement child in _root.Elements())
        {
            if (child.Name.NamespaceName == SignatureNamespace)
            {
                continue;
            }

            switch (LocalName(child))
            {
                case "Description" or "InputDescriptor" or "OutputDescriptor" or "Info":
                    continue;
                case "Id":
                    id = UuidPattern().IsMatch(child.Value.Trim())
                        ? child.Value.Trim()
                        : throw xml.Fault(child, "the Id is not of the form urn:uuid:xxxxxxxx-xxxx-xxxx-xxxx-xxxxxxxxxxxx");
                    continue;
                default:
                    ClfNode node = ReadNode(child, ref depth);
                    if (ReadIndexMap(child) is { } first)
                    {
                        nodes.Add(first);
                    }

                    nodes.Add(node);
                    continue;
            }
        }

        if (nodes.Count == 0)
        {
            throw xml.Fault(_root, "the ProcessList has no step that does anything");
        }

        return new ClfFile([.. nodes])
        {
            Id = id,
            Name = XmlInput.Attribute(_root, "name"),
            Description = Texts(_root, "Description"),
            InputDescriptor = Texts(_root, "InputDescriptor"),
            OutputDescriptor = Texts(_root, "OutputDescriptor"),
        };
    }

    private double ReadVersion()
    {
        string? text = XmlInput.Attribute(_root, "compCLFversion")?.Trim();
        if (text is null)
        {
            return _root.Name.NamespaceName == SmpteNamespace
                ? NewestVersion
                : throw xml.Fault(_root, "the ProcessList has no compCLFversion");
        }

        if (text == "ST2136-1:2024")
        {
            return NewestVersion;
        }

        Match match = VersionPattern().Match(text);
        double version = match.Success ? int.Parse(match.Groups[1].ValueSpan, System.Globalization.CultureInfo.InvariantCulture) : 0;
        bool later = match.Success && match.Groups[2].ValueSpan.ContainsAnyExcept('.', '0');
        return version is >= 1 and < NewestVersion || (version == NewestVersion && !later)
            ? version
            : throw xml.Fault(_root, $"CLF version '{XmlInput.Shown(text)}' is not known; known are 1 to 3 and ST2136-1:2024");
    }

    private ClfNode ReadNode(XElement element, ref string? depth)
    {
        string name = LocalName(element);
        if (name is not ("Matrix" or "LUT1D" or "LUT3D" or "Range" or "ASC_CDL" or "Log" or "Exponent"))
        {
            throw xml.Fault(element, $"unknown element '{XmlInput.Shown(name)}'");
        }

        string inDepth = Depth(element, "inBitDepth"), outDepth = Depth(element, "outBitDepth");
        if (depth is not null && depth != inDepth)
        {
            throw xml.Fault(element, $"inBitDepth {inDepth} does not match outBitDepth {depth} of the previous step");
        }

        depth = outDepth;
        if (XmlInput.Attribute(element, "bypass") is { } bypass && bypass != "false")
        {
            throw xml.Fault(element, "the attribute bypass is not part of CLF");
        }

        double inScale = s_depths[inDepth], outScale = s_depths[outDepth];
        try
        {
            ClfNode node = name switch
            {
                "Matrix" => ReadMatrix(element, inScale, outScale),
                "LUT1D" => ReadLut1D(element, outScale),
                "LUT3D" => ReadLut3D(element, outScale),
                "Range" => ReadRange(element, inScale, outScale),
                "ASC_CDL" => ReadAscCdl(element),
                "Log" => ReadLog(element),
                _ => ReadExponent(element),
            };
            return node with { Description = Texts(element, "Description") };
        }
        catch (ArgumentException e)
        {
            // The types validate themselves; the position is added to their message here.
            throw xml.Fault(element, e.Message.Split(" (Parameter", 2)[0].TrimEnd('.'));
        }
    }

    private ClfMatrix ReadMatrix(XElement element, double inScale, double outScale)
    {
        OnlyChildren(element, "Description", "Array");
        XElement array = Required(element, "Array");
        int[] dim = Dimensions(array);
        // Versions 1 and 2 had a third number without meaning.
        bool offset = dim is [3, 4] || (_version < 3 && dim is [3, 4, 3]);
        if (!offset && !(dim is [3, 3] || (_version < 3 && dim is [3, 3, 3])))
        {
            throw xml.Fault(array, "a Matrix has an Array of dim '3 3' or '3 4'");
        }

        int columns = offset ? 4 : 3;
        double[] m = xml.Numbers(array, 3 * columns);
        double scale = inScale / outScale;
        double At(int row, int column) => m[(row * columns) + column] * scale;
        double Offset(int row) => offset ? m[(row * columns) + 3] / outScale : 0;
        return new ClfMatrix(
            new Matrix3(At(0, 0), At(0, 1), At(0, 2), At(1, 0), At(1, 1), At(1, 2), At(2, 0), At(2, 1), At(2, 2)),
            new CodeRgb(Offset(0), Offset(1), Offset(2)));
    }

    // Versions 1 and 2 (Academy/ASC S-2014-006, section on IndexMap): the code values of the table's first and last
    // entry. With two points it is a straight line before the table; no writer is known that uses more.
    private ClfRange? ReadIndexMap(XElement element)
    {
        if (LocalName(element) is not ("LUT1D" or "LUT3D") || Single(element, "IndexMap") is not { } map)
        {
            return null;
        }

        if (_version >= 3)
        {
            throw xml.Fault(map, "an IndexMap is part of CLF 1 and 2 only; this file says it is of version 3");
        }

        Match points = TwoPoints().Match(map.Value);
        if (XmlInput.Attribute(map, "dim")?.Trim() != "2" || !points.Success)
        {
            throw xml.Fault(map, "only an IndexMap with two points (dim='2') can be read");
        }

        int last = Dimensions(Required(element, "Array"))[0] - 1;
        double scale = s_depths[Depth(element, "inBitDepth")];
        try
        {
            return new ClfRange(Point(1), Point(3));
        }
        catch (ArgumentException)
        {
            throw xml.Fault(map, "the points of an IndexMap must rise");
        }

        (double In, double Out) Point(int group)
        {
            double code = Number(points.Groups[group].Value), entry = Number(points.Groups[group + 1].Value);
            return entry >= 0 && entry <= last ? (code / scale, entry / last) : throw xml.Fault(map, "an IndexMap names an entry that the table does not have");
        }

        double Number(string text) =>
            double.TryParse(text, System.Globalization.NumberStyles.Float, System.Globalization.CultureInfo.InvariantCulture, out double value) && double.IsFinite(value)
                ? value
                : throw xml.Fault(map, $"'{XmlInput.Shown(text)}' in an IndexMap is not a number");
    }

    private ClfLut1D ReadLut1D(XElement element, double outScale)
    {
        OnlyChildren(element, "Description", "IndexMap", "Array");
        Interpolation(element, "linear");
        bool halfDomain = Flag(element, "halfDomain"), rawHalfs = Flag(element, "rawHalfs");
        if (XmlInput.Attribute(element, "hueAdjust") is { } hue && hue != "none")
        {
            throw xml.Fault(element, "the attribute hueAdjust is not part of CLF");
        }

        XElement array = Required(element, "Array");
        int[] dim = Dimensions(array);
        if (dim is not [var size, 1 or 3] || size < 2 || size > ClfLut1D.MaxSize)
        {
            throw xml.Fault(array, $"a LUT1D has an Array of dim 'N 1' or 'N 3' with N from 2 to {ClfLut1D.MaxSize}");
        }

        if (halfDomain && size != ClfLut1D.HalfDomainSize)
        {
            throw xml.Fault(array, $"with halfDomain a LUT1D has {ClfLut1D.HalfDomainSize} entries, not {size}");
        }

        double[] values = xml.Numbers(array, size * dim[1]);
        float[] entries = new float[3 * size];
        for (int i = 0; i < entries.Length; i++)
        {
            double value = values[dim[1] == 3 ? i : i / 3];
            entries[i] = !rawHalfs ? (float)(value / outScale)
                : value is >= 0 and <= ushort.MaxValue && value == Math.Floor(value)
                    ? (float)BitConverter.UInt16BitsToHalf((ushort)value)
                    : throw xml.Fault(array, "with rawHalfs the values are whole numbers from 0 to 65535");
        }

        return new ClfLut1D(entries, halfDomain);
    }

    private ClfLut3D ReadLut3D(XElement element, double outScale)
    {
        OnlyChildren(element, "Description", "IndexMap", "Array");
        LutMethod method = Interpolation(element, "trilinear", "tetrahedral") == "tetrahedral"
            ? LutMethod.Tetrahedral
            : LutMethod.Trilinear;
        XElement array = Required(element, "Array");
        int[] dim = Dimensions(array);
        if (dim is not [var size, _, _, 3] || dim[1] != size || dim[2] != size || size < Lut3D.MinSize || size > Lut3D.MaxSize)
        {
            throw xml.Fault(array, $"a LUT3D has an Array of dim 'N N N 3' with N from {Lut3D.MinSize} to {Lut3D.MaxSize}");
        }

        double[] values = xml.Numbers(array, 3 * size * size * size);
        float[] nodes = new float[values.Length];
        int n = 0;
        for (int i = 0; i < size; i++)
        {
            for (int j = 0; j < size; j++)
            {
                for (int k = 0; k < size; k++)
                {
                    // The file has blue fastest.
                    int at = 3 * (i + (size * (j + (size * k))));
                    for (int c = 0; c < 3; c++)
                    {
                        nodes[at + c] = (float)(values[n++] / outScale);
                    }
                }
            }
        }

        return new ClfLut3D(new Lut3D(size, nodes), method);
    }

    private ClfRange ReadRange(XElement element, double inScale, double outScale)
    {
        OnlyChildren(element, "Description", "minInValue", "maxInValue", "minOutValue", "maxOutValue");
        bool clamps = XmlInput.Attribute(element, "style") switch
        {
            null or "Clamp" => true,
            "noClamp" => false,
            { } other => throw UnknownStyle(element, other),
        };
        return new ClfRange(Pair("min"), Pair("max"), clamps);

        (double In, double Out)? Pair(string end)
        {
            XElement? input = Single(element, end + "InValue"), output = Single(element, end + "OutValue");
            if (input is null != output is null)
            {
                throw xml.Fault(element, $"a Range has {end}InValue and {end}OutValue together or neither");
            }

            return input is null ? null : (xml.Numbers(input, 1)[0] / inScale, xml.Numbers(output!, 1)[0] / outScale);
        }
    }

    private ClfAscCdl ReadAscCdl(XElement element)
    {
        OnlyChildren(element, "Description", "SOPNode", "SatNode");
        (bool inverse, bool clamps) = XmlInput.Attribute(element, "style") switch
        {
            null or "Fwd" or "v1.2_Fwd" => (false, true),
            "Rev" or "v1.2_Rev" => (true, true),
            "FwdNoClamp" => (false, false),
            "RevNoClamp" => (true, false),
            { } other => throw UnknownStyle(element, other),
        };
        CdlNumbers numbers = CdlFormat.ReadNumbers(xml, element);
        return !inverse || numbers.HasInverse
            ? new ClfAscCdl(numbers, inverse, clamps)
            : throw xml.Fault(element, "a slope or saturation of 0 cannot be undone");
    }

    private ClfLog ReadLog(XElement element)
    {
        SinceVersion3(element);
        OnlyChildren(element, "Description", "LogParams");
        ClfLogStyle style = XmlInput.Attribute(element, "style") switch
        {
            "log10" => ClfLogStyle.Log10,
            "antiLog10" => ClfLogStyle.AntiLog10,
            "log2" => ClfLogStyle.Log2,
            "antiLog2" => ClfLogStyle.AntiLog2,
            "linToLog" => ClfLogStyle.LinToLog,
            "logToLin" => ClfLogStyle.LogToLin,
            "cameraLinToLog" => ClfLogStyle.CameraLinToLog,
            "cameraLogToLin" => ClfLogStyle.CameraLogToLin,
            { } other => throw UnknownStyle(element, other),
            null => throw xml.Fault(element, "a Log has no style"),
        };
        if (style <= ClfLogStyle.AntiLog2)
        {
            return Single(element, "LogParams") is { } extra
                ? throw xml.Fault(extra, "the styles log10, log2 and their inverses have no LogParams")
                : new ClfLog(style);
        }

        if (!element.Elements().Any(e => LocalName(e) == "LogParams"))
        {
            throw xml.Fault(element, "this style of Log needs LogParams");
        }

        ClfLogParameters?[] channels = PerChannel(element, "LogParams", p => new ClfLogParameters(
            xml.Number(p, "base") ?? 2,
            xml.Number(p, "logSideSlope") ?? 1,
            xml.Number(p, "logSideOffset") ?? 0,
            xml.Number(p, "linSideSlope") ?? 1,
            xml.Number(p, "linSideOffset") ?? 0,
            xml.Number(p, "linSideBreak"),
            xml.Number(p, "linearSlope")));
        return channels.All(c => c is not null)
            ? new ClfLog(style, channels[0], channels[1], channels[2])
            : throw xml.Fault(element, "LogParams do not cover all three channels");
    }

    private ClfExponent ReadExponent(XElement element)
    {
        SinceVersion3(element);
        OnlyChildren(element, "Description", "ExponentParams");
        ClfExponentStyle style = XmlInput.Attribute(element, "style") is { } text
            ? ClfElements.ExponentStyle(text) ?? throw UnknownStyle(element, text)
            : throw xml.Fault(element, "an Exponent has no style");
        bool monCurve = style >= ClfExponentStyle.MonCurveFwd;
        (double Exponent, double Offset)?[] c = PerChannel<(double, double)?>(element, "ExponentParams", p => (
            xml.Number(p, "exponent") ?? throw xml.Fault(p, "ExponentParams have no exponent"),
            xml.Number(p, "offset") ?? (monCurve ? throw xml.Fault(p, "ExponentParams of a monCurve style have no offset") : 0)));
        if (c.All(v => v is null))
        {
            throw xml.Fault(element, "an Exponent has no ExponentParams");
        }

        // A channel without parameters stays unchanged.
        (double Exponent, double Offset) r = c[0] ?? (1, 0), g = c[1] ?? (1, 0), b = c[2] ?? (1, 0);
        return new ClfExponent(style, (r.Exponent, g.Exponent, b.Exponent), (r.Offset, g.Offset, b.Offset));
    }

    // Parameters for one channel (attribute channel) or, without it, for all three.
    private T?[] PerChannel<T>(XElement element, string name, Func<XElement, T> read)
    {
        T?[] channels = [default, default, default];
        bool[] given = [false, false, false];
        foreach (XElement parameters in element.Elements().Where(e => LocalName(e) == name))
        {
            Range which = XmlInput.Attribute(parameters, "channel") switch
            {
                null => ..,
                "R" => 0..1,
                "G" => 1..2,
                "B" => 2..3,
                { } other => throw xml.Fault(parameters, $"channel '{XmlInput.Shown(other)}' is not R, G or B"),
            };
            if (given[which].Contains(true))
            {
                throw xml.Fault(parameters, $"{name} for one channel are given a second time");
            }

            Array.Fill(channels, read(parameters), which.Start.Value, which.GetOffsetAndLength(3).Length);
            Array.Fill(given, true, which.Start.Value, which.GetOffsetAndLength(3).Length);
        }

        return channels;
    }

    private void SinceVersion3(XElement element)
    {
        if (_version < 3)
        {
            throw xml.Fault(element, $"{LocalName(element)} exists since CLF version 3; this file says it is older");
        }
    }

    private string Depth(XElement element, string attribute) => XmlInput.Attribute(element, attribute) switch
    {
        null => throw xml.Fault(element, $"{LocalName(element)} has no {attribute}"),
        { } depth when s_depths.ContainsKey(depth) => depth,
        { } other => throw xml.Fault(element, $"{attribute} '{XmlInput.Shown(other)}' is not one of {string.Join(", ", s_depths.Keys)}"),
    };

    private string Interpolation(XElement element, params ReadOnlySpan<string> known)
    {
        string found = XmlInput.Attribute(element, "interpolation") ?? known[0];
        return known.Contains(found) ? found : throw xml.Fault(element, $"interpolation '{XmlInput.Shown(found)}' is not known for {LocalName(element)}");
    }

    private bool Flag(XElement element, string attribute) => XmlInput.Attribute(element, attribute) switch
    {
        null => false,
        "true" => true,
        { } other => throw xml.Fault(element, $"{attribute} may only be 'true', not '{XmlInput.Shown(other)}'"),
    };

    private int[] Dimensions(XElement array)
    {
        string text = XmlInput.Attribute(array, "dim") ?? throw xml.Fault(array, "an Array has no dim");
        string[] words = text.Split([' ', '\t', '\r', '\n'], StringSplitOptions.RemoveEmptyEntries);
        // Far above every allowed size, and products of three do not overflow.
        const int largest = 1 << 24;
        return [.. words.Take(5).Select(w =>
            int.TryParse(w, System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out int n) && n <= largest
                ? n
                : throw xml.Fault(array, $"'{XmlInput.Shown(w)}' in dim is not a whole number within reason"))];
    }

    // The local name of an element of this format; one from another namespace keeps its namespace and so is unknown.
    private string LocalName(XElement element) =>
        element.Name.Namespace == _root.Name.Namespace ? element.Name.LocalName : element.Name.ToString();

    private void OnlyChildren(XElement element, params ReadOnlySpan<string> known)
    {
        foreach (XElement child in element.Elements())
        {
            if (!known.Contains(LocalName(child)))
            {
                throw xml.Fault(child, $"unknown element '{XmlInput.Shown(LocalName(child))}' in {LocalName(element)}");
            }
        }
    }

    private XElement Required(XElement parent, string name) =>
        Single(parent, name) ?? throw xml.Fault(parent, $"{LocalName(parent)} has no {name}");

    private XElement? Single(XElement parent, string name)
    {
        XElement? found = null;
        foreach (XElement child in parent.Elements())
        {
            if (LocalName(child) == name)
            {
                found = found is null ? child : throw xml.Fault(child, $"a second {name} in {LocalName(parent)}");
            }
        }

        return found;
    }

    private string? Texts(XElement parent, string name) =>
        string.Join('\n', parent.Elements().Where(e => LocalName(e) == name).Select(e => e.Value.Trim())) is { Length: > 0 } text
            ? text
            : null;

    private UnusableInputException UnknownStyle(XElement element, string style) =>
        xml.Fault(element, $"style '{XmlInput.Shown(style)}' is not known for {LocalName(element)}");

    [GeneratedRegex("^urn:uuid:[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}$")]
    private static partial Regex UuidPattern();

    [GeneratedRegex(@"^\s*([^\s@]+)\s*@\s*([^\s@]+)\s+([^\s@]+)\s*@\s*([^\s@]+)\s*$")]
    private static partial Regex TwoPoints();

    [GeneratedRegex(@"^([0-9])((\.[0-9]{1,3}){0,2})$")]
    private static partial Regex VersionPattern();
}
