using System.Numerics;
using System.Runtime.CompilerServices;

namespace Tonematch.Pictures;

/// <summary>
/// Scales down one plane while its rows arrive one after the other, so that the large plane is never in memory. Each
/// new value is the mean of the area it covers, with fractions of values at the border.
/// </summary>
public sealed class PlaneShrinker
{
    // Halving rows is quick; the column weights apply to the row after that.
    private readonly int _halvings;
    private readonly Cover[] _columns;
    private readonly Cover[] _rows;
    private readonly RowWidener? _widen;
    private readonly float[] _sums;
    private readonly float[] _wide;
    private readonly float[] _small;
    private int _given;
    private int _made;

    /// <summary>Widens a narrower row to a row of the plane; linear in its values.</summary>
    /// <param name="narrow">The narrow row.</param>
    /// <param name="wide">Receives the wide row.</param>
    public delegate void RowWidener(ReadOnlySpan<float> narrow, Span<float> wide);

    /// <summary>Prepares for one plane.</summary>
    /// <param name="width">Values per row.</param>
    /// <param name="height">Rows.</param>
    /// <param name="smallWidth">New width, 1 to <paramref name="width"/>.</param>
    /// <param name="smallHeight">New height, 1 to <paramref name="height"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">A side is below 1, or larger than before.</exception>
    public PlaneShrinker(int width, int height, int smallWidth, int smallHeight)
        : this(width, height, smallWidth, smallHeight, width, null)
    {
    }

    /// <summary>
    /// Prepares for one plane whose rows arrive narrower than the plane, like stored chroma. Because widening is
    /// linear, it is applied to sums of rows, once per new row.
    /// </summary>
    /// <param name="width">Values per row.</param>
    /// <param name="height">Rows.</param>
    /// <param name="smallWidth">New width, 1 to <paramref name="width"/>.</param>
    /// <param name="smallHeight">New height, 1 to <paramref name="height"/>.</param>
    /// <param name="narrowWidth">Values per row as given.</param>
    /// <param name="widen">Widens a row; null if the widths are the same.</param>
    /// <exception cref="ArgumentOutOfRangeException">A side is below 1, or larger than before.</exception>
    public PlaneShrinker(int width, int height, int smallWidth, int smallHeight, int narrowWidth, RowWidener? widen)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(smallWidth, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(smallHeight, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(smallWidth, width);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(smallHeight, height);
        int halved = width;
        for (; halved % (2 * smallWidth) == 0; _halvings++)
        {
            halved /= 2;
        }

        (_columns, _rows) = (Cover.Of(halved, smallWidth), Cover.Of(height, smallHeight));
        (_widen, _sums, _small) = (widen, new float[narrowWidth], new float[smallWidth * smallHeight]);
        _wide = widen is null ? _sums : new float[width];
    }

    /// <summary>Takes the next row, from the top.</summary>
    /// <exception cref="ArgumentException">The row has another length.</exception>
    /// <exception cref="InvalidOperationException">All rows were given already.</exception>
    public void Add(ReadOnlySpan<float> row)
    {
        if (row.Length != _sums.Length)
        {
            throw new ArgumentException($"A row has {_sums.Length} values.", nameof(row));
        }

        // A row on the border of two new rows belongs to both.
        for (; _made < _rows.Length && _rows[_made].First <= _given; _made++)
        {
            AddWeighted(row, _rows[_made].WeightOf(_given), anew: _rows[_made].First == _given);
            if (_rows[_made].Last > _given)
            {
                _given++;
                return;
            }

            WriteRow(_made);
        }

        _given = _given < _rows[^1].Last + 1 ? _given + 1 : throw new InvalidOperationException("All rows of the plane were given.");
    }

    /// <summary>The small plane.</summary>
    /// <exception cref="InvalidOperationException">Rows are missing.</exception>
    public float[] Small => _made == _rows.Length ? _small : throw new InvalidOperationException("Rows of the plane are missing.");

    // Code with vectors of the machine's width cannot be compiled ahead of time; this makes the first compilation the
    // final one.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void AddWeighted(ReadOnlySpan<float> row, float weight, bool anew)
    {
        Span<float> sums = _sums;
        if (anew)
        {
            sums.Clear();
        }

        int i = 0;
        for (; i <= sums.Length - Vector<float>.Count; i += Vector<float>.Count)
        {
            (new Vector<float>(sums[i..]) + (weight * new Vector<float>(row[i..]))).CopyTo(sums[i..]);
        }

        for (; i < sums.Length; i++)
        {
            sums[i] += weight * row[i];
        }
    }

    private void WriteRow(int y)
    {
        Span<float> small = _small.AsSpan(y * _columns.Length, _columns.Length);
        _widen?.Invoke(_sums, _wide);
        Span<float> sums = _wide;
        for (int i = 0; i < _halvings; i++)
        {
            sums = Halve(sums);
        }

        float rows = _rows[y].Total * (1 << _halvings);
        if (sums.Length == small.Length)
        {
            Scale(sums, 1 / rows, small);
            return;
        }

        for (int x = 0; x < small.Length; x++)
        {
            ref readonly Cover c = ref _columns[x];
            float sum = c.FirstWeight * sums[c.First];
            for (int i = c.First + 1; i < c.Last; i++)
            {
                sum += sums[i];
            }

            small[x] = (sum + (c.LastWeight * sums[c.Last])) / (c.Total * rows);
        }
    }

    // Sums of neighbours, in place, because row sums are not needed again. A pair is loaded as one 64-bit number, whose
    // upper half moves to the lower.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static Span<float> Halve(Span<float> row)
    {
        Span<float> half = row[..(row.Length / 2)];
        int i = 0;
        for (; i <= half.Length - Vector<float>.Count; i += Vector<float>.Count)
        {
            Vector<ulong> a = Sums(new Vector<float>(row[(2 * i)..])), b = Sums(new Vector<float>(row[((2 * i) + Vector<float>.Count)..]));
            Vector.AsVectorSingle(Vector.Narrow(a, b)).CopyTo(half[i..]);
        }

        for (; i < half.Length; i++)
        {
            half[i] = row[2 * i] + row[(2 * i) + 1];
        }

        return half;

        static Vector<ulong> Sums(Vector<float> pairs) =>
            Vector.AsVectorUInt64(pairs + Vector.AsVectorSingle(Vector.AsVectorUInt64(pairs) >> 32));
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Scale(ReadOnlySpan<float> values, float by, Span<float> scaled)
    {
        int i = 0;
        for (; i <= scaled.Length - Vector<float>.Count; i += Vector<float>.Count)
        {
            (by * new Vector<float>(values[i..])).CopyTo(scaled[i..]);
        }

        for (; i < scaled.Length; i++)
        {
            scaled[i] = by * values[i];
        }
    }

    // The values that a new one covers: inner ones fully, the first and last by their weights.
    private readonly record struct Cover(int First, int Last, float FirstWeight, float LastWeight, float Total)
    {
        public float WeightOf(int i) => i == First ? FirstWeight : i == Last ? LastWeight : 1;

        public static Cover[] Of(int from, int to)
        {
            Cover[] covers = new Cover[to];
            for (int i = 0; i < to; i++)
            {
                // In whole multiples of 1/to of a value, so that borders between values are exact.
                long start = (long)i * from, end = start + from;
                int first = (int)(start / to), last = (int)((end - 1) / to);
                float total = (float)from / to;
                covers[i] = first == last
                    ? new Cover(first, last, total, 0, total)
                    : new Cover(first, last, (float)(((first + 1L) * to) - start) / to, (float)(end - ((long)last * to)) / to, total);
            }

            return covers;
        }
    }
}
