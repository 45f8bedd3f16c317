using System.Numerics;

namespace Tonematch.Demo;

/// <summary>
/// The light of the scene: a window from the left, light reflected by the room, and a warm lamp that may be on.
/// </summary>
internal static class Lighting
{
    /// <summary>The position of the lamp, scene units.</summary>
    public static readonly Vector3 LampPlace = new(11.9f, 1.75f, 2.2f);

    private static readonly Vector3 s_window = Vector3.Normalize(new Vector3(-0.74f, -0.40f, 0.54f));
    private static readonly Vector3 s_windowHalf = Vector3.Normalize(s_window + Vector3.UnitZ);
    private static readonly Vector4 s_windowLight = new(0.94f, 1.0f, 1.09f, 0.85f);
    private static readonly Vector4 s_roomLight = new(0.40f, 0.385f, 0.36f, 0.40f);

    // Incandescent light is rich in far red: the lamp makes the two cameras differ more.
    private static readonly Vector4 s_lampLight = new(7.2f, 5.1f, 2.9f, 9.0f);

    /// <summary>The light a surface sends to the viewer, in the four bands; 1 is about a white card by the window.</summary>
    public static Vector4 Shade(in Surface s, Vector2 place, bool lamp)
    {
        float facing = MathF.Max(0, (Vector3.Dot(s.Normal, s_window) + 0.22f) / 1.22f);
        float near = MathF.Max(0.35f, 1.22f - (0.052f * place.X));
        float sky = 0.72f - (0.28f * s.Normal.Y);
        Vector4 light = (s_windowLight * (facing * near)) + (s_roomLight * sky);
        Vector4 shine = default;
        if (s.Gloss > 0)
        {
            shine += s_windowLight * (near * s.Gloss * Power64(Vector3.Dot(s.Normal, s_windowHalf)));
        }

        if (lamp)
        {
            Vector3 to = LampPlace - new Vector3(place, 0);
            float d2 = to.LengthSquared();
            Vector3 direction = to / MathF.Sqrt(d2);
            float strength = 1 / (d2 + 2.5f);
            light += s_lampLight * (strength * MathF.Max(0, (Vector3.Dot(s.Normal, direction) + 0.15f) / 1.15f));
            light += s_lampLight * 0.006f;
            if (s.Gloss > 0)
            {
                Vector3 half = Vector3.Normalize(direction + Vector3.UnitZ);
                shine += s_lampLight * (strength * 1.6f * s.Gloss * Power64(Vector3.Dot(s.Normal, half)));
            }
        }

        return (s.Albedo * light) + shine + s.Glow;
    }

    private static float Power64(float x)
    {
        if (x <= 0)
        {
            return 0;
        }

        x *= x;
        x *= x;
        x *= x;
        x *= x;
        x *= x;
        return x * x;
    }
}
