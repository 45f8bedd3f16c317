using System.Numerics;

namespace Tonematch.Demo;

/// <summary>
/// The surface of a shape at one place of the scene: coverage of the pixel, reflectance in the four bands of
/// <see cref="Glazes"/>, normal (x right, y down, z to the viewer), gloss, and emitted light.
/// </summary>
internal readonly record struct Surface(float Coverage, Vector4 Albedo, Vector3 Normal, float Gloss = 0, Vector4 Glow = default)
{
    /// <summary>Nothing here.</summary>
    public static Surface None => default;

    /// <summary>Flat, facing the viewer.</summary>
    public static Surface Facing(float coverage, Vector4 albedo) => new(coverage, albedo, Vector3.UnitZ);
}

/// <summary>
/// One painted thing: its bounding rectangle in the scene, its depth (0 is the potter's wheel, negative is behind), and
/// its surface at a place; <c>perUnit</c> is the number of pixels per scene unit, for smooth edges.
/// </summary>
internal sealed record Shape(float Left, float Top, float Right, float Bottom, float Depth, Func<Vector2, float, Surface> At);

/// <summary>Signed distances (negative inside) of the simple shapes the scene is made of, in scene units.</summary>
internal static class Distance
{
    public static float Box(Vector2 p, Vector2 centre, Vector2 half, float round)
    {
        Vector2 q = Vector2.Abs(p - centre) - half + new Vector2(round);
        return Vector2.Max(q, Vector2.Zero).Length() + MathF.Min(MathF.Max(q.X, q.Y), 0) - round;
    }

    /// <summary>A thick line whose thickness goes from <paramref name="ra"/> to <paramref name="rb"/>.</summary>
    public static float Limb(Vector2 p, Vector2 a, Vector2 b, float ra, float rb)
    {
        Vector2 pa = p - a, ba = b - a;
        float h = Math.Clamp(Vector2.Dot(pa, ba) / Vector2.Dot(ba, ba), 0, 1);
        return (pa - (ba * h)).Length() - (ra + ((rb - ra) * h));
    }

    /// <summary>First-order distance to an ellipse: exact on its edge.</summary>
    public static float Ellipse(Vector2 p, Vector2 centre, Vector2 radii)
    {
        Vector2 q = (p - centre) / radii;
        float k = q.Length(), g = (q / radii).Length();
        return k < 1e-4f ? -MathF.Min(radii.X, radii.Y) : k * (k - 1) / g;
    }

    /// <summary>The union of two shapes with a rounded seam of width <paramref name="k"/>.</summary>
    public static float Blend(float a, float b, float k)
    {
        float h = MathF.Max(k - MathF.Abs(a - b), 0) / k;
        return MathF.Min(a, b) - (h * h * k * 0.25f);
    }

    /// <summary>How much of a pixel lies inside, from the distance at its centre.</summary>
    public static float Cover(float distance, float perUnit) => Math.Clamp(0.5f - (distance * perUnit), 0, 1);
}

/// <summary>Repeatable smooth noise for wood, plaster, cloth and clay.</summary>
internal static class Grain
{
    /// <summary>-1..1, one bump per unit.</summary>
    public static float At(float x, float y)
    {
        float fx = MathF.Floor(x), fy = MathF.Floor(y);
        int ix = (int)fx, iy = (int)fy;
        float u = x - fx, v = y - fy;
        u = u * u * (3 - (2 * u));
        v = v * v * (3 - (2 * v));
        float a = Hash(ix, iy), b = Hash(ix + 1, iy), c = Hash(ix, iy + 1), d = Hash(ix + 1, iy + 1);
        float top = a + ((b - a) * u), low = c + ((d - c) * u);
        return top + ((low - top) * v);
    }

    /// <summary>Three octaves.</summary>
    public static float Rough(float x, float y) =>
        (At(x, y) * 0.57f) + (At(x * 2.1f, y * 2.1f) * 0.29f) + (At(x * 4.3f, y * 4.3f) * 0.14f);

    /// <summary>-1..1 of a grid point, without structure.</summary>
    public static float Hash(int x, int y)
    {
        uint h = ((uint)x * 0x8da6b343u) ^ ((uint)y * 0xd8163841u);
        h = (h ^ (h >> 13)) * 0x5bd1e995u;
        h ^= h >> 15;
        return ((h & 0xffff) / 32767.5f) - 1;
    }
}

/// <summary>A pattern painted once over a rectangle of the scene and looked up with linear interpolation.</summary>
internal sealed class Texture
{
    private readonly Vector2 _corner;
    private readonly Vector2 _perUnit;
    private readonly int _width, _height;
    private readonly Vector4[] _points;

    public Texture(Vector2 corner, Vector2 opposite, float perUnitAcross, float perUnitDown, Func<Vector2, Vector4> paint)
    {
        (_corner, _perUnit) = (corner, new(perUnitAcross, perUnitDown));
        _width = (int)((opposite.X - corner.X) * perUnitAcross) + 2;
        _height = (int)((opposite.Y - corner.Y) * perUnitDown) + 2;
        _points = new Vector4[_width * _height];
        for (int i = 0; i < _points.Length; i++)
        {
            _points[i] = paint(corner + (new Vector2(i % _width, i / _width) / _perUnit));
        }
    }

    /// <summary>The pattern at a place; outside the rectangle the edge value continues.</summary>
    public Vector4 At(Vector2 place)
    {
        Vector2 q = Vector2.Min(Vector2.Max((place - _corner) * _perUnit, Vector2.Zero), new(_width - 1.001f, _height - 1.001f));
        int x = (int)q.X, y = (int)q.Y, i = (y * _width) + x;
        float u = q.X - x, v = q.Y - y;
        Vector4 top = _points[i] + ((_points[i + 1] - _points[i]) * u);
        Vector4 low = _points[i + _width] + ((_points[i + _width + 1] - _points[i + _width]) * u);
        return top + ((low - top) * v);
    }
}

/// <summary>
/// A thick line prepared for many queries; <paramref name="Seam"/> sets how softly it joins the previous one.
/// </summary>
internal readonly record struct RoundedLimb(Vector2 A, Vector2 B, float Ra, float Rb, float Seam)
{
    private readonly Vector2 _along = B - A;
    private readonly float _inverse = 1 / (B - A).LengthSquared();

    /// <summary>Distance to the softly joined union, and the direction in which it grows.</summary>
    public static (float Distance, Vector2 Outward) Union(RoundedLimb[] limbs, Vector2 p)
    {
        float distance = 10;
        Vector2 outward = default;
        foreach (ref readonly RoundedLimb limb in limbs.AsSpan())
        {
            Vector2 pa = p - limb.A;
            float h = Math.Clamp(Vector2.Dot(pa, limb._along) * limb._inverse, 0, 1);
            Vector2 off = pa - (limb._along * h);
            float away = off.Length(), d = away - (limb.Ra + ((limb.Rb - limb.Ra) * h));
            float seam = MathF.Max(limb.Seam - MathF.Abs(distance - d), 0) / limb.Seam;
            Vector2 here = off / MathF.Max(away, 1e-6f);
            bool nearer = d < distance;
            Vector2 near = nearer ? here : outward, far = nearer ? outward : here;
            outward = near + ((far - near) * (0.5f * seam));
            distance = MathF.Min(distance, d) - (seam * seam * limb.Seam * 0.25f);
        }

        return (distance, outward);
    }
}
