using System.Globalization;

namespace Tonematch.Samples;

/// <summary>The same object marked by hand in both pictures.</summary>
/// <param name="Name">The display name; not empty, unique in its list.</param>
/// <param name="Primary">Its place in the primary.</param>
/// <param name="Secondary">Its place in the secondary.</param>
/// <param name="AtSeconds">The primary's presentation time it is for; null for every instant.</param>
public sealed record RegionPair(string Name, RegionShape Primary, RegionShape Secondary, double? AtSeconds = null)
{
    /// <summary>The longest name allowed, because it appears in tables and pictures.</summary>
    public const int LongestName = 80;

    private const string Form = "NAME=x,y,width,height:x,y,width,height (in camera A, then in camera B; shares of the picture from 0 to 1, or pixels; NAME@SECONDS= for one instant)";

    /// <summary>
    /// Reads one option: <c>NAME=x,y,width,height:x,y,width,height</c>, the primary's box and the secondary's, as
    /// shares of the picture's width and height (0..1), or in pixels if a corner is above 1. A single box applies to
    /// both. <c>NAME@12.48=...</c> applies to that instant (seconds of the primary) only.
    /// </summary>
    /// <exception cref="UnusableInputException">The text has a different form; the message shows the expected one.</exception>
    public static RegionPair Parse(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        int equals = text.LastIndexOf('=');
        if (equals <= 0)
        {
            throw Wrong(text, "it has no name");
        }

        string name = text[..equals].Trim();
        double? at = null;
        if (name.LastIndexOf('@') is > 0 and int mark)
        {
            if (!double.TryParse(name[(mark + 1)..], NumberStyles.Float, CultureInfo.InvariantCulture, out double seconds) || !double.IsFinite(seconds))
            {
                throw Wrong(text, $"'{name[(mark + 1)..]}' is not a time in seconds");
            }

            (name, at) = (name[..mark].Trim(), seconds);
        }

        string[] boxes = text[(equals + 1)..].Split(':');
        if (name.Length == 0 || boxes.Length > 2)
        {
            throw Wrong(text, name.Length == 0 ? "it has no name" : "it has more than two boxes");
        }

        if (WhyNoName(name) is { } why)
        {
            throw Wrong(text, why);
        }

        RegionShape primary = Box(boxes[0], text);
        return new RegionPair(name, primary, boxes.Length == 2 ? Box(boxes[1], text) : primary, at);
    }

    /// <summary>What is wrong with a name; null if nothing is.</summary>
    internal static string? WhyNoName(string name) =>
        name.Length > LongestName ? $"its name has {name.Length} characters, and at most {LongestName} are allowed"
        : name.Any(char.IsControl) ? "its name holds a character that cannot be printed (a line end, a tab)"
        : null;

    private static RegionShape Box(string box, string text)
    {
        string[] parts = box.Split(',');
        double[] n = new double[4];
        if (parts.Length != 4)
        {
            throw Wrong(text, $"'{box}' is not four numbers");
        }

        for (int i = 0; i < 4; i++)
        {
            if (!double.TryParse(parts[i], NumberStyles.Float, CultureInfo.InvariantCulture, out n[i]) || !double.IsFinite(n[i]))
            {
                throw Wrong(text, $"'{parts[i]}' is not a number");
            }
        }

        try
        {
            return RegionShape.Box(n[0], n[1], n[2], n[3]);
        }
        catch (ArgumentException)
        {
            throw Wrong(text, $"'{box}' must have x and y from 0 up, width and height above 0");
        }
    }

    private static UnusableInputException Wrong(string text, string why) =>
        new($"The region '{(text.Length > LongestName ? text[..LongestName] + "..." : text)}' cannot be read: {why}. Expected: {Form}.");
}
