using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>Plain words for colours, for warnings and lists.</summary>
public static class PlainColourNames
{
    private static readonly (double UpTo, string Name)[] s_hues =
    [
        (20, "pinkish red"), (45, "red"), (72, "orange"), (88, "orange yellow"), (108, "yellow"), (125, "yellow green"),
        (165, "green"), (205, "bluish green"), (240, "cyan"), (300, "blue"), (330, "purple"), (352, "magenta"), (361, "pinkish red"),
    ];

    /// <summary>
    /// A name of one to four words: 'white', 'dark grey', 'light skin or sand', 'deep blue', 'greyish green', 'brown'. The
    /// limits in lightness, chroma and hue are a convention of this project; wood and sand share the words for skin.
    /// </summary>
    /// <param name="lab">The colour relative to its encoding's white.</param>
    public static string Of(Lab lab)
    {
        double l = lab.L, c = lab.Chroma, h = lab.HueDegrees;
        if (l < 12 && c < 12)
        {
            return "black";
        }

        if (c < 6)
        {
            return l > 92 ? "white" : l > 72 ? "light grey" : l > 42 ? "grey" : l > 18 ? "dark grey" : "black";
        }

        if (l is > 25 and < 90 && c is > 11 and < 36 && h is > 32 and < 78)
        {
            return l > 62 ? "light skin or sand" : l > 46 ? "skin or wood" : "dark skin or wood";
        }

        string hue = s_hues.First(x => h < x.UpTo).Name;
        bool warm = hue is "orange" or "orange yellow" or "red" or "yellow";
        return (hue, l, c) switch
        {
            (_, _, < 12) => l > 80 ? $"pale {hue}" : $"greyish {hue}",
            ("orange" or "orange yellow", < 48, _) => "brown",
            ("yellow" or "yellow green", < 55, _) => "olive",
            ("red" or "pinkish red", > 65, _) => "pink",
            (_, < 40, _) when !warm || l < 30 => $"deep {hue}",
            (_, > 75, < 60) when hue is not "yellow" => $"light {hue}",
            _ => hue,
        };
    }
}
