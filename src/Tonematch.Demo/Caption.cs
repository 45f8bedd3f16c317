using System.Numerics;

namespace Tonematch.Demo;

/// <summary>The caption in the corner that says the picture is drawn, in plain strokes (no font is needed).</summary>
internal static class Caption
{
    private const string Words = "DRAWN BY TONEMATCH";

    // Strokes on a grid 4 wide and 6 high: points joined in order; a space begins a new stroke.
    private static readonly Dictionary<char, string> s_letters = new()
    {
        ['A'] = "06 20 46 14 34",
        ['B'] = "00 30 41 42 33 03 33 44 45 36 06 00",
        ['C'] = "41 30 10 01 05 16 36 45",
        ['D'] = "00 20 42 44 26 06 00",
        ['E'] = "40 00 06 46 03 33",
        ['H'] = "00 06 03 43 40 46",
        ['M'] = "06 00 23 40 46",
        ['N'] = "06 00 46 40",
        ['O'] = "10 30 41 45 36 16 05 01 10",
        ['R'] = "06 00 30 41 42 33 03 33 46",
        ['T'] = "00 40 20 26",
        ['W'] = "00 16 22 36 40",
        ['Y'] = "00 23 40 23 26",
    };

    // Letters whose crossbar is a separate stroke: the last two points.
    private const string SeparateBar = "AE";

    /// <summary>The pixels that the words cover, and how much of each, for a picture of this size.</summary>
    public static IReadOnlyList<(int Index, float Share)> Pixels(int width, int height, bool right)
    {
        float unit = height / 360f, advance = 6.4f * unit;
        float length = Words.Length * advance, left = right ? width - length - (8 * unit) : 10 * unit, top = height - (15 * unit);
        Dictionary<int, float> covered = [];
        for (int i = 0; i < Words.Length; i++)
        {
            if (!s_letters.TryGetValue(Words[i], out string? strokes))
            {
                continue;
            }

            Vector2[] points = [.. strokes.Split(' ').Select(s => new Vector2(left + (i * advance) + ((s[0] - '0') * unit), top + ((s[1] - '0') * unit)))];
            for (int k = 1; k < points.Length; k++)
            {
                bool jump = SeparateBar.Contains(Words[i]) && k == points.Length - 2;
                if (!jump)
                {
                    Stroke(points[k - 1], points[k]);
                }
            }
        }

        return [.. covered.Select(c => (c.Key, c.Value))];

        void Stroke(Vector2 a, Vector2 b)
        {
            float r = 0.48f * unit;
            for (int y = (int)(MathF.Min(a.Y, b.Y) - r - 1); y <= MathF.Max(a.Y, b.Y) + r + 1; y++)
            {
                for (int x = (int)(MathF.Min(a.X, b.X) - r - 1); x <= MathF.Max(a.X, b.X) + r + 1; x++)
                {
                    if (x < 0 || y < 0 || x >= width || y >= height)
                    {
                        continue;
                    }

                    float share = Distance.Cover(Distance.Limb(new(x + 0.5f, y + 0.5f), a, b, r, r), 1);
                    if (share > 0)
                    {
                        covered[(y * width) + x] = MathF.Max(share, covered.GetValueOrDefault((y * width) + x));
                    }
                }
            }
        }
    }
}
