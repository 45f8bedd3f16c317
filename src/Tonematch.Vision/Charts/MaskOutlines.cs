using System.Buffers;
using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Tonematch.Vision.Charts;

/// <summary>A corner of an outline, pixels.</summary>
internal readonly record struct OutlinePoint(int X, int Y);

/// <summary>
/// Traces the outlines of the areas of a mask and of their holes (S. Suzuki and K. Abe, 'Topological structural
/// analysis of digitized binary images by border following', CVGIP 30, 1985, algorithm 1 without the hierarchy). Like
/// OpenCV's findContours, but without allocating an array for each of the many specks.
/// </summary>
internal sealed class MaskOutlines
{
    // Steps to the eight neighbours, counter-clockwise from the right as seen with y upwards.
    private static readonly int[] s_stepX = [1, 1, 0, -1, -1, -1, 0, 1];
    private static readonly int[] s_stepY = [0, -1, -1, -1, 0, 1, 1, 1];

    private const byte Unseen = 1;
    private const byte Followed = 2;

    // Traced, with background to the right.
    private const byte RightEnd = 130;

    private OutlinePoint[] _corners = new OutlinePoint[256];
    private int _count;

    /// <summary>The corners of one outline, through the centres of its pixels, and the area it encloses, pixels.</summary>
    public delegate void Outline(ReadOnlySpan<OutlinePoint> corners, double area);

    /// <summary>Calls <paramref name="found"/> for each outline; the corners are valid during the call.</summary>
    /// <param name="mask">Row by row; 1 in the areas, else 0.</param>
    /// <param name="width">Pixels per row.</param>
    /// <param name="found">Called with each outline.</param>
    public void Follow(ReadOnlySpan<byte> mask, int width, Outline found)
    {
        // A frame of background saves all border tests.
        int height = mask.Length / width, stride = width + 2;
        byte[] rented = ArrayPool<byte>.Shared.Rent(stride * (height + 2));
        try
        {
            Follow(mask, width, rented.AsSpan(0, stride * (height + 2)), found);
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(rented);
        }
    }

    private void Follow(ReadOnlySpan<byte> mask, int width, Span<byte> marks, Outline found)
    {
        int height = mask.Length / width, stride = width + 2;
        marks.Clear();
        for (int y = 0; y < height; y++)
        {
            mask.Slice(y * width, width).CopyTo(marks.Slice(((y + 1) * stride) + 1, width));
        }

        Span<int> steps = stackalloc int[16];
        for (int i = 0; i < 16; i++)
        {
            steps[i] = s_stepX[i & 7] + (s_stepY[i & 7] * stride);
        }

        for (int y = 1; y <= height; y++)
        {
            ReadOnlySpan<byte> row = marks.Slice(y * stride, stride);
            for (int x = 1; (x = NextBorder(row, x)) < stride; x++)
            {
                bool hole = row[x] == 0 && row[x - 1] is Unseen or Followed;
                if (hole || row[x] == Unseen)
                {
                    int at = x - (hole ? 1 : 0);
                    double area = FollowOne(marks, steps, (y * stride) + at, at - 1, y - 1, hole);
                    found(_corners.AsSpan(0, _count), area);
                }
            }
        }
    }

    // The next place from x on where an area begins or ends; the row's length if there is none. Tracing changes marks
    // but never sets or clears a pixel.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static int NextBorder(ReadOnlySpan<byte> row, int x)
    {
        for (; x <= row.Length - Vector256<byte>.Count; x += Vector256<byte>.Count)
        {
            Vector256<byte> here = Vector256.Equals(Vector256.Create(row[x..]), Vector256<byte>.Zero);
            Vector256<byte> before = Vector256.Equals(Vector256.Create(row[(x - 1)..]), Vector256<byte>.Zero);
            if ((here ^ before).ExtractMostSignificantBits() is not 0 and uint borders)
            {
                return x + BitOperations.TrailingZeroCount(borders);
            }
        }

        while (x < row.Length && (row[x] == 0) == (row[x - 1] == 0))
        {
            x++;
        }

        return x;
    }

    private double FollowOne(Span<byte> marks, ReadOnlySpan<int> steps, int start, int x, int y, bool hole)
    {
        _count = 0;
        int direction = hole ? 0 : 4, end = direction;
        do
        {
            direction = (direction - 1) & 7;
        }
        while (marks[start + steps[direction]] == 0 && direction != end);

        if (direction == end)
        {
            marks[start] = RightEnd;
            Add(x, y);
            return 0;
        }

        int last = start + steps[direction], here = start, came = direction ^ 4;
        long twice = 0;
        while (true)
        {
            end = direction;
            int next;
            do
            {
                direction++;
                next = here + steps[direction];
            }
            while (marks[next] == 0);

            direction &= 7;
            if ((uint)(direction - 1) < (uint)end)
            {
                marks[here] = RightEnd;
            }
            else if (marks[here] == Unseen)
            {
                marks[here] = Followed;
            }

            if (direction != came)
            {
                Add(x, y);
                came = direction;
            }

            int nextX = x + s_stepX[direction], nextY = y + s_stepY[direction];
            twice += ((long)x * nextY) - ((long)nextX * y);
            (x, y) = (nextX, nextY);
            if (next == start && here == last)
            {
                return Math.Abs(twice) / 2.0;
            }

            here = next;
            direction = (direction + 4) & 7;
        }
    }

    private void Add(int x, int y)
    {
        if (_count == _corners.Length)
        {
            Array.Resize(ref _corners, 2 * _count);
        }

        _corners[_count++] = new OutlinePoint(x, y);
    }
}
