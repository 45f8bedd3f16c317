using System.Globalization;
using System.Text;
using System.Xml.Linq;
using Tonematch.Formats.Cdl;
using Tonematch.Luts.Tables;

namespace Tonematch.Formats.Clf;

/// <summary>The XML elements of a CLF file: <see cref="ClfFormat.Write"/>.</summary>
internal static class ClfElements
{
    private static readonly XNamespace s_ns = "http://www.smpte-ra.org/ns/2136-1/2024";

    private static readonly (ClfExponentStyle Style, string Name)[] s_exponentStyles =
    [
        (ClfExponentStyle.BasicFwd, "basicFwd"),
        (ClfExponentStyle.BasicRev, "basicRev"),
        (ClfExponentStyle.BasicMirrorFwd, "basicMirrorFwd"),
        (ClfExponentStyle.BasicMirrorRev, "basicMirrorRev"),
        (ClfExponentStyle.BasicPassThruFwd, "basicPassThruFwd"),
        (ClfExponentStyle.BasicPassThruRev, "basicPassThruRev"),
        (ClfExponentStyle.MonCurveFwd, "monCurveFwd"),
        (ClfExponentStyle.MonCurveRev, "monCurveRev"),
        (ClfExponentStyle.MonCurveMirrorFwd, "monCurveMirrorFwd"),
        (ClfExponentStyle.MonCurveMirrorRev, "monCurveMirrorRev"),
    ];

    private static readonly string[] s_logStyles =
        ["log10", "antiLog10", "log2", "antiLog2", "linToLog", "logToLin", "cameraLinToLog", "cameraLogToLin"];

    /// <summary>The style with this name, or null.</summary>
    public static ClfExponentStyle? ExponentStyle(string name)
    {
        foreach ((ClfExponentStyle style, string known) in s_exponentStyles)
        {
            if (known == name)
            {
                return style;
            }
        }

        return null;
    }

    /// <summary>The whole file.</summary>
    public static XElement Of(ClfFile file) => new(
        s_ns + "ProcessList",
        new XAttribute("compCLFversion", "3.0"),
        new XAttribute("id", XmlOutput.Legal(file.Id ?? "tonematch")),
        file.Name is null ? null : new XAttribute("name", XmlOutput.Legal(file.Name)),
        Lines("Description", file.Description),
        Lines("InputDescriptor", file.InputDescriptor),
        Lines("OutputDescriptor", file.OutputDescriptor),
        file.Nodes.Select(Of));

    private static XElement Of(ClfNode node)
    {
        XElement element = node switch
        {
            ClfMatrix matrix => Of(matrix),
            ClfRange range => Of(range),
            ClfLut1D lut => Of(lut),
            ClfLut3D lut => Of(lut),
            ClfAscCdl cdl => Of(cdl),
            ClfExponent exponent => Of(exponent),
            ClfLog log => Of(log),
            _ => throw new ArgumentException($"{node.GetType().Name} has no element.", nameof(node)),
        };
        element.AddFirst(Lines("Description", node.Description));
        element.ReplaceAttributes(new XAttribute("inBitDepth", "32f"), new XAttribute("outBitDepth", "32f"), element.Attributes());
        return element;
    }

    private static XElement Of(ClfMatrix node)
    {
        bool offset = node.Offset != default;
        (double a, double b, double c, double d)[] rows =
        [
            (node.Matrix.M11, node.Matrix.M12, node.Matrix.M13, node.Offset.R),
            (node.Matrix.M21, node.Matrix.M22, node.Matrix.M23, node.Offset.G),
            (node.Matrix.M31, node.Matrix.M32, node.Matrix.M33, node.Offset.B),
        ];
        string text = string.Concat(rows.Select(r =>
            $"\n{T(r.a)} {T(r.b)} {T(r.c)}{(offset ? " " + T(r.d) : "")}")) + "\n";
        return new XElement(s_ns + "Matrix", Array(offset ? "3 4" : "3 3", text));
    }

    private static XElement Of(ClfRange node) => new(
        s_ns + "Range",
        new XAttribute("style", node.Clamps ? "Clamp" : "noClamp"),
        Value("minInValue", node.Low?.In),
        Value("maxInValue", node.High?.In),
        Value("minOutValue", node.Low?.Out),
        Value("maxOutValue", node.High?.Out));

    private static XElement Of(ClfLut1D node)
    {
        StringBuilder text = new("\n");
        ReadOnlySpan<float> e = node.Entries;
        for (int i = 0; i < e.Length; i += 3)
        {
            // In a half-domain table the entries for NaN and the infinities are never used: 0 keeps the file simple.
            Append(text, Finite(e[i]), Finite(e[i + 1]), Finite(e[i + 2]));
        }

        return new XElement(
            s_ns + "LUT1D",
            node.IsHalfDomain ? new XAttribute("halfDomain", "true") : null,
            Array($"{I(node.Size)} 3", text.ToString()));

        static float Finite(float v) => float.IsFinite(v) ? v : 0;
    }

    private static XElement Of(ClfLut3D node)
    {
        int size = node.Lut.Size;
        StringBuilder text = new("\n", 32 * size * size * size);
        ReadOnlySpan<float> nodes = node.Lut.Nodes;
        for (int i = 0; i < size; i++)
        {
            for (int j = 0; j < size; j++)
            {
                for (int k = 0; k < size; k++)
                {
                    int at = 3 * (i + (size * (j + (size * k))));
                    Append(text, nodes[at], nodes[at + 1], nodes[at + 2]);
                }
            }
        }

        return new XElement(
            s_ns + "LUT3D",
            new XAttribute("interpolation", node.Method == LutMethod.Tetrahedral ? "tetrahedral" : "trilinear"),
            Array($"{I(size)} {I(size)} {I(size)} 3", text.ToString()));
    }

    private static XElement Of(ClfAscCdl node) => new(
        s_ns + "ASC_CDL",
        new XAttribute("style", (node.IsInverse ? "Rev" : "Fwd") + (node.Clamps ? "" : "NoClamp")),
        CdlFormat.ToNodes(node.Numbers, s_ns));

    private static XElement Of(ClfExponent node)
    {
        XElement element = new(
            s_ns + "Exponent", new XAttribute("style", s_exponentStyles.First(s => s.Style == node.Style).Name));
        Add("R", node.Exponent.R, node.Offset.R);
        Add("G", node.Exponent.G, node.Offset.G);
        Add("B", node.Exponent.B, node.Offset.B);
        return element;

        void Add(string channel, double exponent, double offset) => element.Add(new XElement(
            s_ns + "ExponentParams",
            new XAttribute("channel", channel),
            new XAttribute("exponent", T(exponent)),
            node.IsMonCurve ? new XAttribute("offset", T(offset)) : null));
    }

    private static XElement Of(ClfLog node)
    {
        XElement element = new(s_ns + "Log", new XAttribute("style", s_logStyles[(int)node.Style]));
        if (node.Style > ClfLogStyle.AntiLog2)
        {
            Add("R", node.R);
            Add("G", node.G);
            Add("B", node.B);
        }

        return element;

        void Add(string channel, ClfLogParameters p) => element.Add(new XElement(
            s_ns + "LogParams",
            new XAttribute("channel", channel),
            new XAttribute("base", T(p.Base)),
            new XAttribute("logSideSlope", T(p.LogSideSlope)),
            new XAttribute("logSideOffset", T(p.LogSideOffset)),
            new XAttribute("linSideSlope", T(p.LinSideSlope)),
            new XAttribute("linSideOffset", T(p.LinSideOffset)),
            p.LinSideBreak is { } linBreak ? new XAttribute("linSideBreak", T(linBreak)) : null,
            p.LinearSlope is { } slope ? new XAttribute("linearSlope", T(slope)) : null));
    }

    private static XElement? Value(string name, double? value) => value is null ? null : new XElement(s_ns + name, T(value.Value));

    private static XElement Array(string dim, string text) => new(s_ns + "Array", new XAttribute("dim", dim), text);

    private static IEnumerable<XElement>? Lines(string name, string? text) => text is not { Length: > 0 }
        ? null
        : text.Split('\n').Select(line => new XElement(s_ns + name, XmlOutput.Legal(line.TrimEnd('\r'))));

    private static void Append(StringBuilder text, float a, float b, float c) => text
        .Append(NumberText.Of(a)).Append(' ').Append(NumberText.Of(b)).Append(' ').Append(NumberText.Of(c)).Append('\n');

    private static string T(double value) => NumberText.Of(value);

    private static string I(int value) => value.ToString(CultureInfo.InvariantCulture);
}
