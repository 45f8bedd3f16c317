using System.Numerics;

namespace Tonematch.Demo;

/// <summary>
/// A potter demonstrates glazing. Scene units: 16 across and 9 down are what the wide camera sees. Static things are
/// painted once; the potter's arms, the chart, the pot and the wheel once per frame.
/// </summary>
internal static class DemoScene
{
    /// <summary>The length of the scene.</summary>
    public const double Seconds = 15.0;

    /// <summary>The chart is up and still between these times.</summary>
    public const double ChartFrom = 1.2, ChartUntil = 5.0;

    /// <summary>When the lamp is switched on.</summary>
    public const double LampSeconds = 11.4;

    /// <summary>When the palms meet.</summary>
    public static readonly double[] Claps = [6.72, 7.31, 14.02];

    /// <summary>Half the width of one patch, the pitch of the patches, and the chart's depth.</summary>
    public const float PatchHalf = 0.142f, PatchPitch = 0.345f, ChartDepth = 0.15f;

    private static readonly Vector2 s_chartUp = new(7.6f, 4.48f);
    private static readonly Vector2 s_potCentre = new(7.6f, 6.17f);
    private const float PotTop = 5.36f, PotBottom = 6.98f;
    private static readonly float[] s_profile = [0.40f, 0.37f, 0.36f, 0.45f, 0.60f, 0.71f, 0.76f, 0.74f, 0.66f, 0.55f, 0.45f, 0.42f];

    /// <summary>Behind everything that moves.</summary>
    public static IReadOnlyList<Shape> Back { get; } = [.. Room(), .. Window(), .. TileBoard(), .. Shelves(), .. Potter()];

    /// <summary>In front of the raised chart: the wheel's basin, the bench, the pots on it.</summary>
    public static IReadOnlyList<Shape> Front { get; } = [.. Bench()];

    /// <summary>The lamp, which emits light when on; part of <see cref="Back"/>.</summary>
    public static IReadOnlyList<Shape> LampShapes(bool on) => [.. Pendant(on)];

    /// <summary>What moves behind the front layer at a time (arms that hold the chart or clap).</summary>
    public static IReadOnlyList<Shape> MovingBehind(double seconds) => seconds < 8.1 ? Arms(seconds) : [];

    /// <summary>What moves in front: the wheel, the pot, and the arms while they glaze.</summary>
    public static IReadOnlyList<Shape> MovingInFront(double seconds) =>
        [.. Wheel(seconds), Pot(seconds), .. seconds < 8.1 ? [] : Arms(seconds)];

    /// <summary>Centre of a patch of the raised chart (0..23, row by row from the top left).</summary>
    public static Vector2 PatchCentre(int patch) => PatchCentre(patch, s_chartUp);

    /// <summary>The raised chart's corners: outer edges of the corner patches, from the first patch clockwise.</summary>
    public static IReadOnlyList<Vector2> ChartCorners
    {
        get
        {
            float x = (2.5f * PatchPitch) + PatchHalf, y = (1.5f * PatchPitch) + PatchHalf;
            return [s_chartUp + new Vector2(-x, -y), s_chartUp + new Vector2(x, -y), s_chartUp + new Vector2(x, y), s_chartUp + new Vector2(-x, y)];
        }
    }

    private static Vector2 PatchCentre(int patch, Vector2 chart) =>
        chart + new Vector2(((patch % 6) - 2.5f) * PatchPitch, ((patch / 6) - 1.5f) * PatchPitch);

    private static float Smooth(double from, double to, double t)
    {
        float x = (float)Math.Clamp((t - from) / (to - from), 0, 1);
        return x * x * (3 - (2 * x));
    }

    // ---- Static things -------------------------------------------------------------------------------------

    private static IEnumerable<Shape> Room()
    {
        yield return new Shape(-1, -1, 17, 10, -3, (p, _) =>
        {
            float rough = Grain.Rough(p.X * 1.7f, p.Y * 1.3f), fine = Grain.At(p.X * 21, p.Y * 17);
            Vector4 albedo = Glazes.Plaster * (1 + (0.06f * rough) + (0.03f * fine));
            if (p.Y > 6.1f)
            {
                albedo = Glazes.Wainscot * (1 + (0.07f * rough) + (0.04f * fine));
            }

            float edge = MathF.Exp(-MathF.Pow((p.Y - 6.1f) * 14, 2));
            Vector3 normal = Vector3.Normalize(new Vector3(0.10f * fine, 0.10f * rough, 1));
            return new Surface(1, albedo * (1 - (0.35f * edge)), normal);
        });
    }

    private static IEnumerable<Shape> Window()
    {
        yield return Soft(2.2f, 3.1f, 2.9f, 3.4f, -3, 0.20f);
        yield return new Shape(0.2f, 0.3f, 4.1f, 5.6f, -2.8f, (p, u) =>
        {
            float d = Distance.Box(p, new(2.1f, 2.9f), new(1.62f, 2.12f), 0.05f);
            return Surface.Facing(Distance.Cover(d, u), Glazes.PaleWood * (1.25f + (0.12f * Grain.Rough(p.X * 9, p.Y * 1.2f))));
        });
        foreach ((float x, float y) in new[] { (1.35f, 1.95f), (2.85f, 1.95f), (1.35f, 3.85f), (2.85f, 3.85f) })
        {
            yield return new Shape(x - 0.8f, y - 1.0f, x + 0.8f, y + 1.0f, -2.8f, (p, u) =>
            {
                float d = Distance.Box(p, new(x, y), new(0.66f, 0.86f), 0.02f);
                float haze = Grain.Rough(p.X * 0.9f, p.Y * 1.1f), sky = (p.Y - 0.9f) / 4;
                float tree = Math.Clamp(((p.Y - 3.55f + (0.5f * Grain.Rough(p.X * 1.6f, 7))) * 5) + 0.5f, 0, 1);
                Vector4 open = Vector4.Lerp(new(0.80f, 1.02f, 1.34f, 0.7f), new(1.15f, 1.2f, 1.24f, 1.0f), sky + (0.2f * haze));
                Vector4 leaves = new Vector4(0.30f, 0.47f, 0.16f, 0.9f) * (0.95f + (0.45f * Grain.Rough(p.X * 6, p.Y * 6)));
                return new Surface(Distance.Cover(d, u), default, Vector3.UnitZ, 0, Vector4.Lerp(open, leaves, tree));
            });
        }

        yield return new Shape(0, 4.9f, 4.3f, 5.6f, -2.6f, (p, u) =>
        {
            float d = Distance.Box(p, new(2.1f, 5.16f), new(1.9f, 0.13f), 0.04f);
            Vector3 n = p.Y < 5.10f ? Vector3.Normalize(new Vector3(0, -0.8f, 0.6f)) : Vector3.UnitZ;
            return new Surface(Distance.Cover(d, u), Glazes.PaleWood * (1.2f + (0.15f * Grain.Rough(p.X * 1.4f, p.Y * 11))), n);
        });
        yield return Vase(1.15f, 5.05f, 0.85f, 0.30f, -2.4f, Glazes.Cobalt, 0.5f, [0.5f, 0.42f, 0.6f, 0.95f, 1, 0.85f, 0.6f], 3);
        yield return Vase(3.05f, 5.05f, 0.42f, 0.42f, -2.4f, Glazes.Terracotta, 0.05f, [1, 0.97f, 0.9f, 0.84f, 0.78f], 5);
        foreach ((float dx, float top, float lean) in new[] { (-0.16f, 3.75f, -0.24f), (0.02f, 3.52f, 0.04f), (0.15f, 3.85f, 0.28f), (0.0f, 4.1f, -0.34f), (0.1f, 4.05f, 0.38f) })
        {
            yield return new Shape(2.3f, 3.3f, 3.8f, 4.8f, -2.3f, (p, u) =>
            {
                Vector2 foot = new(3.05f + (dx * 0.3f), 4.68f), tip = new(3.05f + dx + lean, top);
                float d = Distance.Limb(p, foot, tip, 0.075f, 0.015f);
                Vector2 side = Vector2.Normalize(new Vector2(tip.Y - foot.Y, foot.X - tip.X));
                float across = Vector2.Dot(p - foot, side) * 8;
                return new Surface(Distance.Cover(d, u), Glazes.Moss * 1.3f, Vector3.Normalize(new Vector3(across, -0.2f, 0.8f)), 0.1f);
            });
        }
    }

    private static IEnumerable<Shape> TileBoard()
    {
        yield return Soft(5.22f, 4.86f, 0.95f, 1.05f, -2.9f, 0.34f);
        yield return new Shape(4.1f, 3.6f, 6.2f, 6.0f, -2.8f, (p, u) =>
        {
            float d = Distance.Box(p, new(5.12f, 4.72f), new(0.86f, 0.98f), 0.05f);
            return Surface.Facing(Distance.Cover(d, u), Glazes.PaleWood * (1 + (0.22f * Grain.Rough(p.X * 1.5f, p.Y * 13))));
        });
        Vector4[] glazes =
        [
            Glazes.Celadon, Glazes.Oxblood, Glazes.TinWhite, Glazes.Turquoise, Glazes.Ochre, Glazes.Lilac,
            Glazes.Rose, Glazes.Cobalt, Glazes.Moss, Glazes.Tenmoku, Glazes.Terracotta, Glazes.Biscuit,
        ];
        for (int i = 0; i < glazes.Length; i++)
        {
            Vector2 c = new(4.58f + (0.54f * (i % 3)), 4.06f + (0.44f * (i / 3)));
            Vector4 glaze = glazes[i];
            int seed = i;
            yield return new Shape(c.X - 0.3f, c.Y - 0.3f, c.X + 0.3f, c.Y + 0.3f, -2.7f, (p, u) =>
            {
                float d = Distance.Box(p, c, new(0.20f, 0.165f), 0.035f);
                float bare = Distance.Cover(p.Y - c.Y - 0.10f + (0.012f * Grain.At(p.X * 14, seed)), u);
                Vector4 albedo = Vector4.Lerp(Glazes.Biscuit, glaze * (1 + (0.07f * Grain.At((p.X * 23) + seed, p.Y * 23))), bare);
                Vector2 q = (p - c) / 0.20f;
                float hole = Distance.Cover(0.022f - (p - c - new Vector2(0, -0.115f)).Length(), u);
                return new Surface(Distance.Cover(d, u) * hole, albedo, Vector3.Normalize(new(0.22f * q.X, 0.22f * q.Y, 1)), 0.10f * bare);
            });
        }
    }

    private static IEnumerable<Shape> Shelves()
    {
        float[] boards = [2.55f, 4.45f, 6.30f];
        foreach (float y in boards)
        {
            yield return Soft(13.1f, y + 0.26f, 2.9f, 0.30f, -2.9f, 0.36f);
            yield return Plank(10.35f, y, 15.75f, 0.15f, -2.2f, Glazes.DarkWood);
        }

        (float X, int Board, float H, float R, Vector4 G, float Gloss, int Form)[] pots =
        [
            (10.85f, 0, 0.90f, 0.34f, Glazes.Celadon, 0.6f, 0), (11.75f, 0, 0.55f, 0.45f, Glazes.Rose, 0.4f, 1),
            (12.75f, 0, 1.15f, 0.30f, Glazes.Tenmoku, 0.8f, 2), (13.65f, 0, 0.70f, 0.42f, Glazes.Ochre, 0.5f, 3),
            (14.55f, 0, 0.95f, 0.36f, Glazes.Turquoise, 0.6f, 0), (15.35f, 0, 0.50f, 0.32f, Glazes.TinWhite, 0.4f, 1),
            (10.95f, 1, 0.60f, 0.48f, Glazes.TinWhite, 0.5f, 1), (12.00f, 1, 1.20f, 0.38f, Glazes.Cobalt, 0.7f, 2),
            (12.95f, 1, 0.80f, 0.40f, Glazes.Terracotta, 0.03f, 3), (13.95f, 1, 1.05f, 0.40f, Glazes.Oxblood, 0.8f, 0),
            (14.95f, 1, 0.62f, 0.46f, Glazes.Moss, 0.4f, 1),
            (11.30f, 2, 1.00f, 0.44f, Glazes.Biscuit, 0.0f, 0), (12.50f, 2, 0.62f, 0.55f, Glazes.Lilac, 0.5f, 1),
            (13.75f, 2, 1.15f, 0.40f, Glazes.Celadon, 0.6f, 3), (14.95f, 2, 0.80f, 0.50f, Glazes.Ochre, 0.5f, 0),
        ];
        float[][] forms =
        [
            [0.55f, 0.50f, 0.62f, 0.86f, 1, 0.96f, 0.80f, 0.62f], [1, 0.98f, 0.92f, 0.80f, 0.62f, 0.48f],
            [0.40f, 0.34f, 0.34f, 0.50f, 0.86f, 1, 0.98f, 0.84f, 0.66f], [0.70f, 0.66f, 0.80f, 1, 0.98f, 0.92f, 0.86f],
        ];
        int seed = 20;
        foreach (var pot in pots)
        {
            float y = boards[pot.Board];
            yield return Soft(pot.X + 0.14f, y - 0.06f, pot.R * 1.25f, 0.16f, -2.1f, 0.45f);
            yield return Vase(pot.X, y, pot.H, pot.R, -2.0f, pot.G, pot.Gloss, forms[pot.Form], seed++);
        }
    }

    private static IEnumerable<Shape> Pendant(bool on)
    {
        float x = Lighting.LampPlace.X;
        if (on)
        {
            yield return new Shape(x - 3.2f, -2f, x + 3.2f, 4.6f, 0, (p, _) =>
            {
                float d2 = ((p.X - x) * (p.X - x)) + ((p.Y - 1.35f) * (p.Y - 1.35f));
                Vector4 halo = new Vector4(1.0f, 0.62f, 0.28f, 1.0f) * (0.22f * MathF.Exp(-d2 / 0.8f));
                return new Surface(0.001f, default, Vector3.UnitZ, 0, halo * 1000);
            });
        }

        yield return new Shape(x - 0.05f, -0.5f, x + 0.05f, 0.8f, 0.4f, (p, u) =>
            Surface.Facing(Distance.Cover(MathF.Abs(p.X - x) - 0.018f, u), Glazes.Tenmoku));
        yield return new Shape(x - 0.3f, 1.0f, x + 0.3f, 1.7f, 0.4f, (p, u) =>
        {
            float d = Distance.Ellipse(p, new(x, 1.33f), new(0.20f, 0.20f));
            return new Surface(Distance.Cover(d, u), Glazes.TinWhite, Vector3.UnitZ, 0, on ? new Vector4(2.6f, 1.9f, 1.05f, 2.6f) : default);
        });
        yield return new Shape(x - 1f, 0.5f, x + 1f, 1.5f, 0.4f, (p, u) =>
        {
            float w = 0.14f + (0.62f * MathF.Pow(Math.Clamp((p.Y - 0.72f) / 0.60f, 0, 1), 1.4f));
            float d = MathF.Max(MathF.Abs(p.X - x) - w, MathF.Max(0.72f - p.Y, p.Y - 1.32f));
            float nx = Math.Clamp((p.X - x) / w, -1, 1);
            return new Surface(Distance.Cover(d, u), Glazes.Enamel * 0.7f, new(nx * 0.9f, -0.3f * MathF.Abs(nx), MathF.Sqrt(1 - (0.8f * nx * nx))), 0.5f);
        });
    }

    private static IEnumerable<Shape> Potter()
    {
        yield return Soft(7.95f, 5.2f, 2.1f, 2.9f, -1.6f, 0.30f);
        // The neck, and a linen shirt with rust stripes whose neckline is cut round.
        yield return Puffy(7.1f, 2.6f, 8.1f, 4.2f, -0.55f, 0.24f, p => Distance.Limb(p, new(7.6f, 2.9f), new(7.6f, 3.75f), 0.30f, 0.34f), _ => Glazes.Skin * 0.80f);
        yield return Puffy(5.6f, 3.2f, 9.6f, 8.4f, -0.6f, 0.55f, p =>
        {
            float body = Distance.Box(p, new(7.6f, 6.0f), new(1.12f, 2.4f), 0.7f);
            float shoulders = Distance.Limb(p, new(6.66f, 4.15f), new(8.54f, 4.15f), 0.46f, 0.46f);
            shoulders = Distance.Blend(shoulders, Distance.Limb(p, new(7.6f, 3.72f), new(7.6f, 4.1f), 0.50f, 0.7f), 0.4f);
            return MathF.Max(Distance.Blend(body, shoulders, 0.35f), -Distance.Ellipse(p, new(7.6f, 3.50f), new(0.46f, 0.36f)));
        }, ShirtAt);
        // The head, bowed over the work.
        foreach (Shape part in Head())
        {
            const float bow = 0.34f;
            yield return part with { Top = part.Top + bow, Bottom = part.Bottom + bow, At = (p, u) => part.At(p - new Vector2(0, bow), u) };
        }

        // Apron: straps, bib, pocket, stitches.
        foreach (float side in new[] { -1f, 1f })
        {
            yield return new Shape(6.2f, 3.5f, 9, 5.2f, -0.3f, (p, u) =>
            {
                float d = Distance.Limb(p, new(7.6f + (side * 0.50f), 3.72f), new(7.6f + (side * 0.70f), 4.9f), 0.10f, 0.10f);
                return new Surface(Distance.Cover(d, u), Indigo(p), Vector3.Normalize(new(side * 0.25f, -0.3f, 1)));
            });
        }

        yield return Puffy(6.3f, 4.4f, 8.9f, 8.6f, -0.28f, 0.22f, p =>
        {
            float bib = Distance.Box(p, new(7.6f, 6.2f), new(0.84f, 1.55f), 0.12f);
            float skirt = Distance.Box(p, new(7.6f, 7.4f), new(1.30f, 1.25f), 0.25f);
            return Distance.Blend(bib, skirt, 0.3f);
        }, p =>
        {
            float hem = MathF.Abs(Distance.Box(p, new(7.6f, 6.2f), new(0.76f, 1.47f), 0.10f));
            bool stitch = hem < 0.011f && MathF.Abs((((p.X + p.Y) * 9) % 1) - 0.5f) < 0.3f;
            return stitch ? Glazes.Ochre : Indigo(p);
        });
    }

    private static IEnumerable<Shape> Head()
    {
        yield return Puffy(6.6f, 1.1f, 8.6f, 3.7f, -0.5f, 0.5f, HeadAt, p =>
        {
            float blush = MathF.Exp(-(((MathF.Abs(p.X - 7.6f) - 0.36f) * (MathF.Abs(p.X - 7.6f) - 0.36f)) + ((p.Y - 2.66f) * (p.Y - 2.66f))) / 0.03f);
            return Vector4.Lerp(Glazes.Skin, Glazes.Lips, 0.30f * blush);
        });
        // Eyes look down on the work: lashes only. Brows, nose, mouth.
        foreach (float side in new[] { -1f, 1f })
        {
            yield return Arc(7.6f + (side * 0.27f), 2.33f, 0.15f, 0.085f, 0.022f, Glazes.Hair);
            yield return Arc(7.6f + (side * 0.28f), 2.20f, 0.17f, -0.06f, 0.026f, Glazes.Hair * 1.6f);
        }

        yield return Puffy(7.3f, 2.3f, 7.9f, 2.9f, -0.45f, 0.09f, p => Distance.Limb(p, new(7.6f, 2.36f), new(7.6f, 2.64f), 0.055f, 0.095f), _ => Glazes.Skin * 1.04f);
        yield return Arc(7.6f, 2.93f, 0.19f, 0.05f, 0.034f, Glazes.Lips);
        // Hair under a scarf.
        yield return Puffy(6.5f, 0.8f, 8.7f, 2.6f, -0.4f, 0.4f, p =>
        {
            float cap = Distance.Ellipse(p, new(7.6f, 2.02f), new(0.80f, 0.86f));
            float brow = Distance.Ellipse(p, new(7.6f, 2.72f), new(0.78f, 0.78f));
            return MathF.Max(cap, 0.02f - brow);
        }, _ => Glazes.Hair * 1.3f);
        yield return Puffy(6.5f, 0.6f, 8.7f, 2.4f, -0.35f, 0.4f, p =>
        {
            float cap = Distance.Ellipse(p, new(7.6f, 1.98f), new(0.86f, 0.93f));
            float brow = Distance.Ellipse(p, new(7.6f, 2.62f), new(0.96f, 0.82f));
            float knot = Distance.Ellipse(p, new(8.40f, 1.62f), new(0.20f, 0.15f));
            return MathF.Min(MathF.Max(cap, -brow), knot);
        }, p =>
        {
            Vector2 cell = new((p.X * 5.2f) + 0.2f, p.Y * 5.2f);
            Vector2 q = new(cell.X - MathF.Round(cell.X), cell.Y - MathF.Round(cell.Y));
            return q.Length() < 0.17f ? Glazes.TinWhite : Glazes.Scarf;
        });
    }

    private static float HeadAt(Vector2 p)
    {
        float skull = Distance.Ellipse(p, new(7.6f, 2.18f), new(0.74f, 0.86f));
        float jaw = Distance.Ellipse(p, new(7.6f, 2.74f), new(0.53f, 0.56f));
        float ears = MathF.Min(Distance.Ellipse(p, new(6.86f, 2.40f), new(0.10f, 0.18f)), Distance.Ellipse(p, new(8.34f, 2.40f), new(0.10f, 0.18f)));
        return Distance.Blend(Distance.Blend(skull, jaw, 0.30f), ears, 0.05f);
    }

    private static readonly Texture s_shirt = new(new(4.4f, 3.2f), new(10.8f, 8.5f), 96, 96, PaintShirt);

    private static Vector4 ShirtAt(Vector2 p) => s_shirt.At(p);

    private static Vector4 PaintShirt(Vector2 p)
    {
        float weave = 0.05f * Grain.At(p.X * 38, p.Y * 34);
        float fold = 0.07f * Grain.Rough(p.X * 1.8f, p.Y * 0.9f);
        float stripe = MathF.Abs((((p.X * 2.6f) + (0.03f * Grain.At(p.X, p.Y * 2))) % 1) - 0.5f);
        Vector4 cloth = Vector4.Lerp(Glazes.Rust * 1.2f, Glazes.Linen, Math.Clamp((stripe - 0.10f) * 30, 0, 1));
        return cloth * (0.94f + weave + fold);
    }

    private static Vector4 Indigo(Vector2 p)
    {
        float twill = 0.10f * Grain.At((p.X + p.Y) * 26, (p.X - p.Y) * 7);
        float worn = 0.22f * MathF.Max(0, Grain.Rough(p.X * 1.9f, p.Y * 1.5f));
        float clay = Math.Clamp((Grain.Rough((p.X * 2.4f) + 9, p.Y * 2.2f) - 0.44f) * 6, 0, 0.75f);
        return Vector4.Lerp(Glazes.Indigo * (1 + twill + worn), Glazes.Biscuit * 0.8f, clay);
    }

    private static IEnumerable<Shape> Bench()
    {
        // Two boards beside the wheel with jars and bowls, the wheel's basin, the front board.
        yield return Plank(3.55f, 7.12f, 5.95f, 0.16f, -0.4f, Glazes.PaleWood);
        yield return Plank(9.25f, 7.12f, 15.9f, 0.16f, -0.4f, Glazes.PaleWood);
        (float X, float H, float R, Vector4 G, float Gloss, float[] Form)[] items =
        [
            (4.15f, 0.62f, 0.40f, Glazes.TinWhite, 0.4f, [1, 0.98f, 0.95f, 0.90f, 0.86f]),
            (4.95f, 0.55f, 0.36f, Glazes.Cobalt, 0.7f, [1, 0.99f, 0.93f, 0.80f, 0.60f]),
            (5.62f, 0.80f, 0.24f, Glazes.Oxblood, 0.7f, [0.5f, 0.46f, 0.7f, 1, 0.96f, 0.8f]),
            (9.62f, 0.70f, 0.27f, Glazes.Ochre, 0.5f, [0.86f, 0.9f, 1, 0.98f, 0.92f]),
            (10.28f, 0.50f, 0.33f, Glazes.Rose, 0.5f, [1, 0.98f, 0.9f, 0.76f, 0.58f]),
            (11.35f, 0.95f, 0.42f, Glazes.Turquoise, 0.6f, [0.6f, 0.55f, 0.8f, 1, 0.98f, 0.8f]),
            (12.50f, 0.60f, 0.50f, Glazes.Biscuit, 0.0f, [1, 0.98f, 0.9f, 0.76f, 0.58f]),
            (14.20f, 0.75f, 0.45f, Glazes.Lilac, 0.5f, [0.86f, 0.9f, 1, 0.98f, 0.92f]),
        ];
        int seed = 60;
        foreach (var item in items)
        {
            yield return Soft(item.X + 0.12f, 7.10f, item.R * 1.3f, 0.12f, -0.35f, 0.5f);
            if (item.X is > 9.5f and < 9.8f)
            {
                foreach ((float lean, float length, Vector4 tip) in new[] { (-0.22f, 0.62f, Glazes.Tenmoku), (0.02f, 0.74f, Glazes.Rust), (0.26f, 0.58f, Glazes.PaleWood) })
                {
                    yield return Limb(new(item.X + (lean * 0.3f), 6.6f), new(item.X + lean, 6.42f - length), 0.022f, 0.028f, -0.32f, Glazes.PaleWood, 0.1f);
                    yield return Limb(new(item.X + lean, 6.42f - length), new(item.X + (lean * 1.18f), 6.28f - length), 0.045f, 0.012f, -0.31f, tip, 0);
                }
            }

            yield return Vase(item.X, 7.12f, item.H, item.R, -0.3f, item.G, item.Gloss, item.Form, seed++);
        }

        yield return Soft(7.75f, 7.72f, 2.2f, 0.35f, -0.1f, 0.45f);
        yield return new Shape(5.5f, 6.7f, 9.7f, 8.3f, -0.1f, (p, u) =>
        {
            float rim = Distance.Ellipse(p, new(7.6f, 7.22f), new(1.84f, 0.42f));
            float wall = MathF.Max(MathF.Abs(p.X - 7.6f) - 1.84f + (0.12f * (p.Y - 7.22f)), MathF.Max(7.22f - p.Y, p.Y - 7.72f));
            float foot = Distance.Ellipse(p, new(7.6f, 7.72f), new(1.78f, 0.40f));
            float d = MathF.Min(rim, MathF.Min(wall, foot));
            float inside = Distance.Cover(rim + 0.07f, u), lip = Distance.Cover(rim, u) - inside;
            float nx = Math.Clamp((p.X - 7.6f) / 1.86f, -1, 1);
            Vector3 outer = new(nx, 0.05f, MathF.Sqrt(1 - (nx * nx)) + 0.05f);
            Vector3 bowl = Vector3.Normalize(new(-nx * 0.9f, -0.45f, 0.5f));
            Vector4 splash = Vector4.Lerp(Glazes.Enamel, Glazes.Biscuit * 0.8f, Math.Clamp((Grain.Rough(p.X * 3.1f, p.Y * 6.3f) - 0.12f) * 4, 0, 0.8f));
            Vector4 albedo = (Glazes.Enamel * (1 - inside)) + (splash * (0.55f * inside));
            Vector3 normal = Vector3.Normalize((outer * (1 - inside)) + (bowl * inside) + (new Vector3(-0.2f, -0.9f, 0.4f) * lip));
            return new Surface(Distance.Cover(d, u), albedo * (1 + (0.3f * lip)), normal, 0.35f * (1 - inside));
        });
        yield return Plank(-0.5f, 8.05f, 16.5f, 1.4f, 0.3f, Glazes.DarkWood * 1.35f);
    }

    // ---- Moving things -------------------------------------------------------------------------------------

    private static float Turn(double seconds)
    {
        // Slow while nothing is glazed, 0.42 turns per second afterwards; the speed grows over 1.5 s.
        double fast = Math.Max(0, seconds - 7.6), run = fast < 1.5 ? fast * fast / 3 : fast - 0.75;
        return (float)(2 * Math.PI * ((0.07 * seconds) + (0.35 * run)));
    }

    private static readonly Texture s_wheelHead = new(new(-1.02f, -1.02f), new(1.02f, 1.02f), 256, 256, p =>
    {
        float radius = p.Length() + 1e-6f, cx = p.X / radius, sx = p.Y / radius;
        float ring = 0.12f * MathF.Sin(radius * 52);
        float smear = Math.Clamp((Grain.At((radius * 7) + 3, (cx * 2.2f) + 9) + Grain.At(radius * 5, sx * 2.2f)) * 1.6f, 0, 0.9f);
        float shade = 1 - (0.45f * Math.Clamp((0.66f - radius) * 5, 0, 1));
        return Vector4.Lerp(Glazes.Steel * (1 + ring), Glazes.Biscuit * 0.75f, smear) * shade;
    });

    private static IEnumerable<Shape> Wheel(double seconds)
    {
        float turn = Turn(seconds), cosTurn = MathF.Cos(turn), sinTurn = MathF.Sin(turn);
        yield return new Shape(6.1f, 6.65f, 9.1f, 7.5f, 0, (p, u) =>
        {
            float top = Distance.Ellipse(p, new(7.6f, 7.00f), new(1.28f, 0.27f)), edge = Distance.Ellipse(p, new(7.6f, 7.10f), new(1.28f, 0.27f));
            float d = MathF.Min(MathF.Min(top, edge), MathF.Max(MathF.Abs(p.X - 7.6f) - 1.28f, MathF.Max(7.0f - p.Y, p.Y - 7.1f)));
            float cover = Distance.Cover(d, u);
            if (cover <= 0)
            {
                return Surface.None;
            }

            float x = (p.X - 7.6f) / 1.28f, y = (p.Y - 7.0f) / 0.27f;
            if (top > 0)
            {
                float n = Math.Clamp(x, -1, 1);
                return new Surface(cover, Glazes.Steel * 0.7f, new(n, 0, MathF.Sqrt(1 - (n * n))), 0.3f);
            }

            // Turned back to where this place was on the wheel.
            Vector4 albedo = s_wheelHead.At(new((x * cosTurn) + (y * sinTurn), (y * cosTurn) - (x * sinTurn)));
            return new Surface(cover, albedo, Vector3.Normalize(new(-0.1f, -0.75f, 0.65f)), 0.08f);
        });
    }

    // Around the pot (radians, a little more than once) and down it (0..1).
    private static readonly Texture s_clay = OnThePot((cx, sx, v, fine) =>
        Glazes.Biscuit * (1 + (0.08f * fine) + (0.045f * MathF.Sin((v * 92) + (1.5f * sx)))), 1);

    private static readonly Texture s_glaze = OnThePot((cx, sx, v, fine) =>
    {
        Vector4 glaze = Glazes.Turquoise * (0.96f + (0.16f * fine));
        bool speck = Grain.At(cx * 15, (v * 41) + 50) * Grain.At(sx * 15, (v * 37) + 90) > 0.30f;
        return speck ? Vector4.Lerp(glaze, Glazes.Tenmoku, 0.6f) : glaze;
    }, 0.45f);

    private static Texture OnThePot(Func<float, float, float, float, Vector4> paint, float lineStrength) => new(new(-1.7f, -0.01f), new(8.0f, 1.02f), 160, 400, p =>
    {
        float v = p.Y, cx = MathF.Cos(p.X), sx = MathF.Sin(p.X);
        // A brushed cobalt line with leaves was there before the glaze.
        float s6 = MathF.Sin(6 * p.X), leaf = MathF.Abs(v - 0.52f - (0.035f * s6)) - 0.011f;
        float petal = s6 > 0.55f ? MathF.Abs(v - 0.52f) - (0.10f * (s6 - 0.55f)) : 1;
        float mark = Math.Clamp(0.5f - (MathF.Min(leaf, petal) * 60), 0, 1);
        Vector4 ground = paint(cx, sx, v, Grain.At((cx * 7) + (v * 23), (sx * 7) + (v * 5)));
        return Vector4.Lerp(ground, Glazes.Cobalt, mark * lineStrength);
    });

    // Radius of the pot and its change per unit of height, in 512 rows.
    private static readonly (float Radius, float Slope)[] s_potRows = [.. Enumerable.Range(0, 512).Select(i =>
    {
        float v = i / 511f;
        float slope = (Along(s_profile, MathF.Min(v + 0.04f, 1)) - Along(s_profile, MathF.Max(v - 0.04f, 0))) / (0.08f * (PotBottom - PotTop));
        return (Along(s_profile, v), slope);
    })];

    private static Shape Pot(double seconds)
    {
        float turn = Turn(seconds);
        float level = (float)Math.Clamp((seconds - 8.9) / 4.4, 0, 1) * 0.80f;
        return new Shape(6.7f, 5.2f, 8.5f, 7.2f, 0.1f, (p, u) =>
        {
            const float lip = 0.085f;
            float v = Math.Clamp((p.Y - PotTop) / (PotBottom - PotTop), 0, 1);
            (float radius, float slope) = s_potRows[(int)(v * 511)];
            float dx = p.X - s_potCentre.X;
            float mouth = Distance.Ellipse(p, new(s_potCentre.X, PotTop), new(s_profile[0], lip));
            float foot = Distance.Ellipse(p, new(s_potCentre.X, PotBottom), new(s_profile[^1], 0.09f));
            float wall = MathF.Max(MathF.Abs(dx) - radius, MathF.Max(PotTop - p.Y, p.Y - PotBottom));
            float cover = Distance.Cover(MathF.Min(mouth, MathF.Min(wall, foot)), u);
            if (cover <= 0)
            {
                return Surface.None;
            }

            float hollow = Distance.Cover(mouth + 0.035f, u);
            float nx = Math.Clamp(dx / radius, -1, 1);
            Vector3 normal = Vector3.Normalize(new(nx, -slope, MathF.Sqrt(1 - (nx * nx)) + 0.03f));
            // Around the pot: where this place was before the wheel turned.
            float around = (MathF.Asin(nx) + turn) % (2 * MathF.PI);
            Vector2 onPot = new(around, v);
            float edge = level - v, wet = edge > 0.12f ? 1 : 0;
            if (MathF.Abs(edge) <= 0.12f)
            {
                float cx = MathF.Cos(around), sx = MathF.Sin(around);
                float drip = (0.05f * Grain.At((cx * 2.3f) + 11, sx * 2.3f)) + (0.018f * Grain.At(cx * 6, (sx * 6) + 3));
                wet = Math.Clamp(((edge + drip) * 30) + 0.5f, 0, 1);
            }

            wet *= MathF.Min(1, level * 8);
            Vector4 albedo = wet <= 0 ? s_clay.At(onPot) : wet >= 1 ? s_glaze.At(onPot) : Vector4.Lerp(s_clay.At(onPot), s_glaze.At(onPot), wet);
            if (hollow > 0)
            {
                albedo = Vector4.Lerp(albedo, Glazes.Biscuit * 0.20f, hollow);
                normal = Vector3.Normalize(Vector3.Lerp(normal, new(-nx * 0.6f, -0.5f, 0.6f), hollow));
            }

            float shadow = 1 - (0.35f * MathF.Pow(v, 8));
            return new Surface(cover, albedo * shadow, normal, (1 - hollow) * ((0.55f * wet) + 0.02f));
        });
    }

    /// <summary>
    /// One hand: wrist place, direction of the fingers (degrees, 0 right, 90 down) and how far they are bent.
    /// </summary>
    private readonly record struct HandPose(Vector2 Wrist, float Degrees, float Bend);

    private static List<Shape> Arms(double seconds)
    {
        // The current amount of each action.
        float chart = Smooth(0.15, 1.1, seconds) - Smooth(5.05, 5.9, seconds);
        float clap = Smooth(5.9, 6.35, seconds) - Smooth(7.5, 8.1, seconds) + Smooth(13.2, 13.7, seconds) - Smooth(14.4, 14.9, seconds);
        Vector2 card = s_chartUp + new Vector2(0, 2.9f * (1 - Math.Clamp(chart, 0, 1)));
        float half = (3 * PatchPitch) + 0.12f;
        float meet = 0;
        foreach (double at in Claps)
        {
            meet = MathF.Max(meet, 1 - MathF.Min(1, (float)Math.Abs(seconds - at) / 0.24f));
        }

        meet = meet * meet * (3 - (2 * meet));
        float apart = 0.15f + (0.62f * (1 - meet));
        HandPose holdLeft = new(card + new Vector2(-half - 0.17f, 0.50f), -52, 0.55f), holdRight = new(card + new Vector2(half + 0.17f, 0.50f), -128, 0.55f);
        HandPose clapLeft = new(new(7.6f - apart, 5.35f), -82 + (14 * (1 - meet)), 0.10f), clapRight = new(new(7.6f + apart, 5.35f), -98 - (14 * (1 - meet)), 0.10f);
        float sway = 0.03f * MathF.Sin((float)seconds * 2.1f), stroke = 0.40f * MathF.Sin((float)(seconds * 1.15)) * Smooth(8.4, 9.2, seconds);
        HandPose workLeft = new(new(6.18f, 6.02f + sway), 8, 0.45f), workRight = new(new(9.02f + (0.04f * stroke), 5.92f + stroke + (0.35f * Smooth(9, 13, seconds)) - 0.2f), 172, 0.75f);

        HandPose left = Between(Between(workLeft, holdLeft, seconds < 6.6 ? 1 : 0), clapLeft, clap);
        HandPose right = Between(Between(workRight, holdRight, seconds < 6.6 ? 1 : 0), clapRight, clap);
        if (seconds < 6.4)
        {
            left = Between(holdLeft, clapLeft, clap);
            right = Between(holdRight, clapRight, clap);
        }

        List<Shape> shapes = [];
        shapes.AddRange(Arm(new(6.52f, 4.22f), left.Wrist, -1));
        shapes.AddRange(Arm(new(8.68f, 4.22f), right.Wrist, 1));
        bool holding = seconds < 5.95;
        if (holding)
        {
            shapes.Add(HandShape(left, false, fingers: true, thumb: false));
            shapes.Add(HandShape(right, true, fingers: true, thumb: false));
            shapes.Add(ChartShape(card));
            shapes.Add(HandShape(left, false, fingers: false, thumb: true));
            shapes.Add(HandShape(right, true, fingers: false, thumb: true));
        }
        else
        {
            shapes.Add(HandShape(left, false, true, true));
            float brush = Smooth(7.7, 8.0, seconds) - Smooth(13.3, 13.5, seconds);
            if (brush > 0)
            {
                Vector2 tip = right.Wrist + new Vector2(-0.98f, 0.22f), end = right.Wrist + new Vector2(0.05f, -0.62f);
                shapes.Add(Limb(tip + ((end - tip) * 0.22f), end, 0.030f, 0.022f, 0.2f, Glazes.PaleWood, 0.1f));
                shapes.Add(Limb(tip + ((end - tip) * 0.14f), tip + ((end - tip) * 0.24f), 0.042f, 0.036f, 0.2f, Glazes.Steel, 0.4f));
                shapes.Add(Limb(tip, tip + ((end - tip) * 0.14f), 0.012f, 0.045f, 0.2f, Glazes.Turquoise * 0.8f, 0.2f));
            }

            shapes.Add(HandShape(right, true, true, true));
        }

        return shapes;
    }

    private static HandPose Between(HandPose a, HandPose b, float share)
    {
        float s = Math.Clamp(share, 0, 1);
        return new(Vector2.Lerp(a.Wrist, b.Wrist, s), a.Degrees + ((b.Degrees - a.Degrees) * s), a.Bend + ((b.Bend - a.Bend) * s));
    }

    private static IEnumerable<Shape> Arm(Vector2 shoulder, Vector2 wrist, float side)
    {
        const float upper = 1.75f, fore = 1.62f;
        Vector2 line = wrist - shoulder;
        float reach = Math.Clamp(line.Length(), 0.3f, upper + fore - 0.02f);
        float along = ((upper * upper) - (fore * fore) + (reach * reach)) / (2 * reach);
        float out_ = MathF.Sqrt(MathF.Max(0, (upper * upper) - (along * along)));
        Vector2 direction = Vector2.Normalize(line);
        Vector2 normal = new(-direction.Y, direction.X);
        if (normal.X * side < 0)
        {
            normal = -normal;
        }

        // The arm is seen from the front: the elbow points partly at the viewer, so it goes out less than it would flat.
        Vector2 elbow = shoulder + (direction * along) + (normal * (out_ * 0.72f));
        Vector2 cuff = Vector2.Lerp(elbow, wrist, 0.34f);
        yield return Limb(elbow, wrist, 0.20f, 0.135f, 0.1f, Glazes.Skin, 0.02f);
        yield return Limb(elbow, cuff, 0.26f, 0.235f, 0.12f, Glazes.Linen, 0, ShirtAt);
        yield return Limb(shoulder, elbow, 0.37f, 0.27f, 0.12f, Glazes.Linen, 0, ShirtAt);
    }

    private static readonly (Vector2 A, Vector2 B, Vector2 Bent, float Ra, float Rb)[] s_fingers =
    [
        (new(0.40f, -0.145f), new(0.78f, -0.175f), new(0.62f, -0.11f), 0.076f, 0.060f),
        (new(0.42f, -0.045f), new(0.86f, -0.055f), new(0.66f, -0.02f), 0.079f, 0.062f),
        (new(0.41f, 0.055f), new(0.81f, 0.070f), new(0.62f, 0.065f), 0.075f, 0.059f),
        (new(0.37f, 0.145f), new(0.67f, 0.195f), new(0.53f, 0.145f), 0.064f, 0.050f),
    ];

    private static Shape HandShape(HandPose pose, bool mirrored, bool fingers, bool thumb)
    {
        float angle = pose.Degrees * MathF.PI / 180, cos = MathF.Cos(angle), sin = MathF.Sin(angle);
        // Unmirrored the thumb is on the left of the pointing direction as seen.
        float flip = mirrored ? -1 : 1;
        Vector2 Local(Vector2 p)
        {
            Vector2 q = p - pose.Wrist;
            return new((q.X * cos) + (q.Y * sin), flip * ((q.Y * cos) - (q.X * sin)));
        }

        float bend = pose.Bend;
        List<RoundedLimb> limbs = [];
        if (fingers)
        {
            limbs.Add(new(new(-0.10f, 0), new(0.06f, 0), 0.132f, 0.135f, 0.05f));
            limbs.Add(new(new(0.08f, 0), new(0.34f, 0), 0.150f, 0.200f, 0.10f));
            limbs.AddRange(s_fingers.Select(f => new RoundedLimb(f.A, Vector2.Lerp(f.B, f.Bent, bend), f.Ra, f.Rb, 0.028f)));
        }

        if (thumb)
        {
            limbs.Add(new(new(0.12f, -0.10f), new(0.30f, -0.25f), 0.095f, 0.080f, 0.05f));
            limbs.Add(new(new(0.30f, -0.25f), Vector2.Lerp(new(0.46f, -0.34f), new(0.52f, -0.20f), bend), 0.080f, 0.062f, 0.03f));
        }

        RoundedLimb[] parts = [.. limbs];
        Vector2 c = pose.Wrist + (new Vector2(cos, sin) * 0.4f);
        return new Shape(c.X - 0.72f, c.Y - 0.72f, c.X + 0.72f, c.Y + 0.72f, 0.2f, (p, u) =>
        {
            if ((p - c).LengthSquared() > 0.44f)
            {
                return Surface.None;
            }

            Vector2 q = Local(p);
            (float d, Vector2 turned) = RoundedLimb.Union(parts, q);
            float cover = Distance.Cover(d, u);
            if (cover <= 0)
            {
                return Surface.None;
            }

            const float round = 0.10f;
            Vector2 gradient = new((turned.X * cos) - (flip * turned.Y * sin), (turned.X * sin) + (flip * turned.Y * cos));
            float t = 1 - Math.Clamp(-d / round, 0, 1);
            float tint = 0.05f * Grain.Rough(p.X * 9, p.Y * 9);
            Vector4 albedo = Glazes.Skin * (1 + tint - (0.16f * t * t));
            if (fingers && bend < 0.5f)
            {
                foreach (var f in s_fingers)
                {
                    Vector2 tip = Vector2.Lerp(f.B, f.Bent, bend) + new Vector2(0.012f, 0);
                    albedo = Vector4.Lerp(albedo, Glazes.Nail, 0.7f * Distance.Cover(Distance.Ellipse(q, tip, new(0.042f, 0.034f)), u));
                }
            }

            return new Surface(cover, albedo, Vector3.Normalize(new(gradient * t, MathF.Sqrt(1.02f - (t * t)))), 0.03f);
        });
    }

    private static Shape ChartShape(Vector2 centre)
    {
        float x = (3 * PatchPitch) + 0.07f, y = (2 * PatchPitch) + 0.07f;
        return new Shape(centre.X - x - 0.1f, centre.Y - y - 0.1f, centre.X + x + 0.1f, centre.Y + y + 0.1f, ChartDepth, (p, u) =>
        {
            float cover = Distance.Cover(Distance.Box(p, centre, new(x, y), 0.05f), u);
            if (cover <= 0)
            {
                return Surface.None;
            }

            Vector2 q = (p - centre) / PatchPitch + new Vector2(3, 2);
            int column = Math.Clamp((int)q.X, 0, 5), row = Math.Clamp((int)q.Y, 0, 3), patch = (row * 6) + column;
            float inside = Distance.Cover(Distance.Box(p, PatchCentre(patch, centre), new(PatchHalf, PatchHalf), 0.004f), u);
            return Surface.Facing(cover, Vector4.Lerp(Glazes.Card, DemoChart.Reflectances[patch], inside));
        });
    }

    // ---- Ways to make a shape ---------------------------------------------------------------------------------

    /// <summary>A soft shadow: black with a rounded-off density.</summary>
    private static Shape Soft(float x, float y, float rx, float ry, float depth, float strength) =>
        new(x - (rx * 1.5f), y - (ry * 1.5f), x + (rx * 1.5f), y + (ry * 1.5f), depth, (p, _) =>
        {
            float k = new Vector2((p.X - x) / (rx * 1.5f), (p.Y - y) / (ry * 1.5f)).Length();
            float s = Math.Clamp((1 - k) * 1.8f, 0, 1);
            return Surface.Facing(strength * s * s * (3 - (2 * s)), default);
        });

    /// <summary>A shape that looks round: its surface turns away over <paramref name="round"/> units from the edge.</summary>
    private static Shape Puffy(
        float left, float top, float right, float bottom, float depth, float round, Func<Vector2, float> distance, Func<Vector2, Vector4> albedo) =>
        new(left, top, right, bottom, depth, (p, u) =>
        {
            float d = distance(p), cover = Distance.Cover(d, u);
            if (cover <= 0)
            {
                return Surface.None;
            }

            const float e = 0.02f;
            Vector2 gradient = new(distance(p + new Vector2(e, 0)) - d, distance(p + new Vector2(0, e)) - d);
            gradient = gradient.LengthSquared() > 1e-12f ? Vector2.Normalize(gradient) : Vector2.Zero;
            float t = 1 - Math.Clamp(-d / round, 0, 1);
            return new Surface(cover, albedo(p), Vector3.Normalize(new(gradient * t, MathF.Sqrt(1.02f - (t * t)))));
        });

    private static Shape Limb(
        Vector2 a, Vector2 b, float ra, float rb, float depth, Vector4 albedo, float gloss, Func<Vector2, Vector4>? pattern = null)
    {
        float r = MathF.Max(ra, rb) + 0.05f;
        Vector2 ba = b - a;
        float length2 = ba.LengthSquared();
        return new Shape(MathF.Min(a.X, b.X) - r, MathF.Min(a.Y, b.Y) - r, MathF.Max(a.X, b.X) + r, MathF.Max(a.Y, b.Y) + r, depth, (p, u) =>
        {
            Vector2 pa = p - a;
            float h = Math.Clamp(Vector2.Dot(pa, ba) / length2, 0, 1);
            Vector2 off = pa - (ba * h);
            float radius = ra + ((rb - ra) * h), away = off.Length();
            float cover = Distance.Cover(away - radius, u);
            if (cover <= 0)
            {
                return Surface.None;
            }

            Vector2 n = off / radius;
            return new Surface(cover, pattern is null ? albedo : pattern(p), Vector3.Normalize(new(n, MathF.Sqrt(MathF.Max(0, 1.02f - n.LengthSquared())))), gloss);
        });
    }

    /// <summary>A drawn line that bends by <paramref name="sag"/> in its middle.</summary>
    private static Shape Arc(float x, float y, float half, float sag, float thick, Vector4 albedo) =>
        new(x - half - 0.1f, y - 0.3f, x + half + 0.1f, y + 0.3f, -0.42f, (p, u) =>
        {
            float s = Math.Clamp((p.X - x) / half, -1, 1);
            Vector2 on = new(x + (s * half), y + (sag * (1 - (s * s))));
            return Surface.Facing(Distance.Cover((p - on).Length() - (thick * (1.1f - (0.7f * MathF.Abs(s)))), u), albedo);
        });

    /// <summary>A board seen a little from above, its grain along it.</summary>
    private static Shape Plank(float left, float top, float right, float thick, float depth, Vector4 wood) =>
        new(left, top - 0.08f, right, top + thick + 0.1f, depth, (p, u) =>
        {
            float d = MathF.Max(MathF.Max(left - p.X, p.X - right), MathF.Max(top - 0.05f - p.Y, p.Y - top - thick));
            float grain = 0.20f * Grain.Rough(p.X * 1.1f, p.Y * 17), knots = 0.10f * Grain.At(p.X * 0.7f, p.Y * 2.3f);
            Vector3 n = p.Y < top + 0.03f ? Vector3.Normalize(new(0, -0.85f, 0.5f)) : Vector3.UnitZ;
            return new Surface(Distance.Cover(d, u), wood * (1 + grain + knots), n, 0.03f);
        });

    /// <summary>A thrown pot standing on <paramref name="foot"/>, with a visible mouth and a glaze that pools and specks.</summary>
    private static Shape Vase(float x, float foot, float height, float radius, float depth, Vector4 glaze, float gloss, float[] form, int seed) =>
        new(x - radius - 0.1f, foot - height - 0.2f, x + radius + 0.1f, foot + 0.1f, depth, (p, u) =>
        {
            float top = foot - height;
            float v = Math.Clamp((p.Y - top) / height, 0, 1), r = radius * Along(form, v), dx = p.X - x;
            float mouth = Distance.Ellipse(p, new(x, top), new(radius * form[0], radius * 0.17f));
            float bottom = Distance.Ellipse(p, new(x, foot - (0.05f * radius)), new(radius * form[^1], radius * 0.13f));
            float wall = MathF.Max(MathF.Abs(dx) - r, MathF.Max(top - p.Y, p.Y - foot));
            float cover = Distance.Cover(MathF.Min(mouth, MathF.Min(wall, bottom)), u);
            if (cover <= 0)
            {
                return Surface.None;
            }

            float hollow = Distance.Cover(mouth + (radius * 0.045f), u), nx = Math.Clamp(dx / r, -1, 1);
            float slope = radius * (Along(form, MathF.Min(v + 0.05f, 1)) - Along(form, MathF.Max(v - 0.05f, 0))) / (0.1f * height);
            Vector3 normal = Vector3.Normalize(new(nx, -slope, MathF.Sqrt(1 - (nx * nx)) + 0.03f));
            float around = MathF.Asin(nx);
            float pool = 0.14f * Grain.Rough((around * 1.4f) + seed, (v * 4) + (seed * 3.1f));
            float speck = Grain.At((around * 9) + (seed * 7), v * 22 * height);
            Vector4 albedo = glaze * (1 + pool);
            albedo = speck > 0.62f ? Vector4.Lerp(albedo, Glazes.DarkWood, 0.45f) : albedo;
            float bare = Distance.Cover(0.90f - v + (0.02f * Grain.At(around * 3, seed)), u * height);
            albedo = Vector4.Lerp(albedo, Glazes.Biscuit * 0.85f, bare);
            if ((seed & 1) == 1)
            {
                float band = Math.Clamp(0.5f - ((MathF.Abs(v - 0.40f) - 0.035f) * u * height), 0, 1);
                albedo = Vector4.Lerp(albedo, Vector4.Lerp(Glazes.TinWhite, glaze, (seed & 2) == 0 ? 0.15f : 0.9f) * 0.8f, band);
            }

            albedo = Vector4.Lerp(albedo, glaze * 0.22f, hollow);
            normal = Vector3.Normalize(Vector3.Lerp(normal, new(-nx * 0.6f, -0.5f, 0.6f), hollow));
            return new Surface(cover, albedo, normal, gloss * (1 - bare) * (1 - hollow));
        });

    private static float Along(float[] values, float share)
    {
        float at = share * (values.Length - 1);
        int i = Math.Min((int)at, values.Length - 2);
        float f = at - i;
        // A Catmull-Rom piece: a thrown wall has no corners.
        float a = values[Math.Max(i - 1, 0)], b = values[i], c = values[i + 1], d = values[Math.Min(i + 2, values.Length - 1)];
        return b + (0.5f * f * (c - a + (f * ((2 * a) - (5 * b) + (4 * c) - d + (f * ((3 * (b - c)) + d - a))))));
    }
}
