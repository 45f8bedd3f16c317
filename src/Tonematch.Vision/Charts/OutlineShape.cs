namespace Tonematch.Vision.Charts;

/// <summary>The convex hull of an outline: its area, centre, and the sides of its smallest box.</summary>
/// <param name="X">Centre of gravity, pixels.</param>
/// <param name="Y">Centre of gravity, pixels.</param>
/// <param name="Area">Pixels.</param>
/// <param name="Shorter">Shorter side of the rotated box of smallest area, pixels.</param>
/// <param name="Longer">Its longer side.</param>
internal readonly record struct OutlineShape(double X, double Y, double Area, double Shorter, double Longer)
{
    /// <summary>Measures the hulls of outlines; keeps its buffers, so it is not thread-safe.</summary>
    internal sealed class Measurer
    {
        private OutlinePoint[] _hull = [];
        private int _count;
        private int[] _left = [];
        private int[] _right = [];

        /// <summary>The shape; null if the outline fills less than a share of its upright box or its hull.</summary>
        /// <param name="corners">The outline.</param>
        /// <param name="area">The enclosed area, pixels.</param>
        /// <param name="ofBox">Smallest share of the upright box, 0..1.</param>
        /// <param name="ofHull">Smallest share of the hull, above 0.</param>
        public OutlineShape? Of(ReadOnlySpan<OutlinePoint> corners, double area, double ofBox, double ofHull)
        {
            (int left, int right, int top, int bottom) = (int.MaxValue, int.MinValue, int.MaxValue, int.MinValue);
            foreach (OutlinePoint p in corners)
            {
                (left, right) = (Math.Min(left, p.X), Math.Max(right, p.X));
                (top, bottom) = (Math.Min(top, p.Y), Math.Max(bottom, p.Y));
            }

            if (area < ofBox * (right - left) * (bottom - top))
            {
                return null;
            }

            FindHull(corners, top, bottom);
            return Measure(area / ofHull);
        }

        // In each row only the outermost points can be corners of the hull, and the rows are in order, so no sorting is
        // needed (A. Andrew, 'Another efficient algorithm for convex hulls in two dimensions', Inf. Proc. Letters 9,
        // 1979).
        private void FindHull(ReadOnlySpan<OutlinePoint> corners, int top, int bottom)
        {
            int rows = bottom - top + 1;
            if (_left.Length < rows)
            {
                (_left, _right, _hull) = (new int[rows], new int[rows], new OutlinePoint[(2 * rows) + 1]);
            }

            _left.AsSpan(0, rows).Fill(int.MaxValue);
            _right.AsSpan(0, rows).Fill(int.MinValue);
            foreach (OutlinePoint p in corners)
            {
                int row = p.Y - top;
                (_left[row], _right[row]) = (Math.Min(_left[row], p.X), Math.Max(_right[row], p.X));
            }

            _count = 0;
            for (int row = 0; row < rows; row++)
            {
                Push(_right[row], top + row, _right[row] != int.MinValue, 1);
            }

            int turn = _count;
            for (int row = rows - 1; row >= 0; row--)
            {
                Push(_left[row], top + row, _left[row] != int.MaxValue, turn);
            }

            if (_count > 1 && _hull[_count - 1] == _hull[0])
            {
                _count--;
            }
        }

        private void Push(int x, int y, bool isSeen, int kept)
        {
            if (!isSeen || (_count > 0 && _hull[_count - 1] == new OutlinePoint(x, y)))
            {
                return;
            }

            while (_count > kept && Turn(_hull[_count - 2], _hull[_count - 1], new OutlinePoint(x, y)) <= 0)
            {
                _count--;
            }

            _hull[_count++] = new OutlinePoint(x, y);
        }

        private static long Turn(OutlinePoint a, OutlinePoint b, OutlinePoint c) =>
            ((long)(b.X - a.X) * (c.Y - a.Y)) - ((long)(b.Y - a.Y) * (c.X - a.X));

        private OutlineShape? Measure(double largest)
        {
            // Relative to the first corner, to avoid cancellation of large numbers.
            OutlinePoint origin = _hull[0];
            double twice = 0, x = 0, y = 0;
            for (int i = 1; i + 1 < _count; i++)
            {
                OutlinePoint a = _hull[i], b = _hull[i + 1];
                double cross = Turn(origin, a, b);
                twice += cross;
                x += cross * (a.X + b.X - (2.0 * origin.X)) / 3;
                y += cross * (a.Y + b.Y - (2.0 * origin.Y)) / 3;
            }

            if (twice <= 0 || twice > 2 * largest)
            {
                return null;
            }

            (double shorter, double longer) = SmallestBox();
            return new OutlineShape(origin.X + (x / twice), origin.Y + (y / twice), twice / 2, shorter, longer);
        }

        // The box of smallest area lies along a side of the hull (H. Freeman and R. Shapira, CACM 18(7), 1975).
        private (double Shorter, double Longer) SmallestBox()
        {
            (double best, double shorter, double longer) = (double.PositiveInfinity, 0, 0);
            for (int i = 0; i < _count; i++)
            {
                OutlinePoint a = _hull[i], b = _hull[(i + 1) % _count];
                long ux = b.X - a.X, uy = b.Y - a.Y, low = 0, high = 0, far = 0;
                foreach (OutlinePoint p in _hull.AsSpan(0, _count))
                {
                    long along = (ux * (p.X - a.X)) + (uy * (p.Y - a.Y)), across = (ux * (p.Y - a.Y)) - (uy * (p.X - a.X));
                    (low, high, far) = (Math.Min(low, along), Math.Max(high, along), Math.Max(far, across));
                }

                double square = (ux * ux) + (uy * uy), area = (high - low) * far / square;
                if (area < best)
                {
                    double length = (high - low) / Math.Sqrt(square), breadth = far / Math.Sqrt(square);
                    (best, shorter, longer) = (area, Math.Min(length, breadth), Math.Max(length, breadth));
                }
            }

            return (shorter, longer);
        }
    }
}
