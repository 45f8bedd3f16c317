using System.Buffers;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>Measures the pixels of a picture that lie inside a polygon.</summary>
public static class PolygonSampler
{
    /// <summary>
    /// Measures the pixels whose centres lie inside the polygon (even-odd rule; parts outside the picture are left
    /// out); null if there is no such pixel.
    /// </summary>
    /// <exception cref="ArgumentException">Fewer than three corners, or a corner that is not a finite number.</exception>
    public static ColourStatistics? Measure(Picture picture, ReadOnlySpan<PicturePoint> polygon)
    {
        ArgumentNullException.ThrowIfNull(picture);
        if (polygon.Length < 3)
        {
            throw new ArgumentException("A polygon has at least three corners.", nameof(polygon));
        }

        double top = double.PositiveInfinity, bottom = double.NegativeInfinity;
        double left = double.PositiveInfinity, right = double.NegativeInfinity;
        foreach (PicturePoint p in polygon)
        {
            if (!double.IsFinite(p.X) || !double.IsFinite(p.Y))
            {
                throw new ArgumentException("A corner is not a finite number.", nameof(polygon));
            }

            (top, bottom) = (Math.Min(top, p.Y), Math.Max(bottom, p.Y));
            (left, right) = (Math.Min(left, p.X), Math.Max(right, p.X));
        }

        int y0 = (int)Math.Clamp(Math.Floor(top), 0, picture.Height), y1 = (int)Math.Clamp(Math.Ceiling(bottom), 0, picture.Height);
        int x0 = (int)Math.Clamp(Math.Floor(left), 0, picture.Width), x1 = (int)Math.Clamp(Math.Ceiling(right), 0, picture.Width);
        long most = (long)Math.Max(0, y1 - y0) * Math.Max(0, x1 - x0);
        if (most == 0)
        {
            return null;
        }

        float[] r = ArrayPool<float>.Shared.Rent((int)most), g = ArrayPool<float>.Shared.Rent((int)most), b = ArrayPool<float>.Shared.Rent((int)most);
        Span<double> crossings = polygon.Length <= 64 ? stackalloc double[polygon.Length] : new double[polygon.Length];
        try
        {
            int n = 0;
            for (int y = y0; y < y1; y++)
            {
                int found = Crossings(polygon, y + 0.5, crossings);
                for (int k = 0; k + 1 < found; k += 2)
                {
                    int first = Math.Max(0, (int)Math.Ceiling(Math.Max(crossings[k], -1) - 0.5));
                    int end = Math.Min(picture.Width, (int)Math.Ceiling(Math.Min(crossings[k + 1], picture.Width + 1.0) - 0.5));
                    for (int x = first; x < end; x++)
                    {
                        int i = (y * picture.Width) + x;
                        (r[n], g[n], b[n]) = (picture.R[i], picture.G[i], picture.B[i]);
                        n++;
                    }
                }
            }

            return n == 0 ? null : ColourStatistics.Of(r.AsSpan(0, n), g.AsSpan(0, n), b.AsSpan(0, n));
        }
        finally
        {
            ArrayPool<float>.Shared.Return(r);
            ArrayPool<float>.Shared.Return(g);
            ArrayPool<float>.Shared.Return(b);
        }
    }

    private static int Crossings(ReadOnlySpan<PicturePoint> polygon, double y, Span<double> crossings)
    {
        int found = 0;
        for (int i = 0; i < polygon.Length; i++)
        {
            PicturePoint p = polygon[i], q = polygon[(i + 1) % polygon.Length];
            if (p.Y <= y != q.Y <= y)
            {
                crossings[found++] = p.X + ((y - p.Y) / (q.Y - p.Y) * (q.X - p.X));
            }
        }

        crossings[..found].Sort();
        return found;
    }
}
