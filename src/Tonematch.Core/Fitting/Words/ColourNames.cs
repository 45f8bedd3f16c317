using Tonematch.Colour;

namespace Tonematch.Fitting.Words;

/// <summary>Plain English names of regions of CIELAB, for sentences. Common practice, not a standard.</summary>
public static class ColourNames
{
    /// <summary>A name such as 'deep blue', 'light grey', 'orange'.</summary>
    public static string Of(Lab lab)
    {
        if (lab.Chroma < 8)
        {
            return lab.L switch { < 15 => "black", < 40 => "dark grey", < 70 => "grey", < 88 => "light grey", _ => "white" };
        }

        string hue = lab.HueDegrees switch
        {
            < 15 => "pink",
            < 45 => "red",
            < 72 => "orange",
            < 105 => "yellow",
            < 130 => "yellow-green",
            < 175 => "green",
            < 235 => "blue-green",
            < 300 => "blue",
            < 335 => "purple",
            _ => "pink",
        };
        hue = hue == "orange" && lab.L < 45 ? "brown" : hue;
        string tone = lab.L switch
        {
            < 40 when lab.Chroma > 30 => "deep ",
            < 30 => "dark ",
            > 75 when lab.Chroma < 40 => "light ",
            _ => lab.Chroma < 20 ? "greyish " : "",
        };
        return tone + hue;
    }
}
