using System.Text;
using System.Xml;
using System.Xml.Linq;

namespace Tonematch.Formats;

/// <summary>Writes XML the same way for every format: declared UTF-8, LF, indented by two spaces.</summary>
internal static class XmlOutput
{
    /// <summary>Writes a document with this root element; the writer stays open.</summary>
    public static void Write(TextWriter writer, XElement root)
    {
        XmlWriterSettings settings = new()
        {
            Indent = true,
            IndentChars = "  ",
            NewLineChars = "\n",
            NewLineHandling = NewLineHandling.Replace,
            CloseOutput = false,
            // Otherwise the text writer's encoding would be declared (UTF-16 for a string), so the declaration is
            // written by hand.
            OmitXmlDeclaration = true,
        };
        writer.Write("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        using (XmlWriter xml = XmlWriter.Create(writer, settings))
        {
            root.WriteTo(xml);
        }

        writer.Write('\n');
    }

    /// <summary>The text without characters that XML cannot hold.</summary>
    public static string Legal(string text)
    {
        StringBuilder legal = new(text.Length);
        for (int i = 0; i < text.Length; i++)
        {
            if (XmlConvert.IsXmlChar(text[i]))
            {
                legal.Append(text[i]);
            }
            else if (i + 1 < text.Length && XmlConvert.IsXmlSurrogatePair(text[i + 1], text[i]))
            {
                legal.Append(text[i]).Append(text[++i]);
            }
            else
            {
                legal.Append('?');
            }
        }

        return legal.ToString();
    }
}
