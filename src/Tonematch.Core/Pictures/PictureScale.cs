namespace Tonematch.Pictures;

/// <summary>Makes pictures smaller, for looks and reports.</summary>
public static class PictureScale
{
    /// <summary>
    /// The picture with its longer side at most <paramref name="maxSide"/> pixels; the picture itself when it is
    /// already that small. Each new pixel is the mean of the area it covers (with fractions of pixels at the border),
    /// taken in code values, not in light: flat areas keep their value exactly, edges come out a little darker than a
    /// lens would make them. Not for measuring.
    /// </summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="maxSide"/> is below 1.</exception>
    public static Picture ToSmall(Picture picture, int maxSide)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentOutOfRangeException.ThrowIfLessThan(maxSide, 1);
        int longer = Math.Max(picture.Width, picture.Height);
        if (longer <= maxSide)
        {
            return picture;
        }

        double scale = (double)maxSide / longer;
        int width = Math.Max(1, (int)Math.Round(picture.Width * scale));
        int height = Math.Max(1, (int)Math.Round(picture.Height * scale));
        Span[] columns = Cover(picture.Width, width), rows = Cover(picture.Height, height);
        return new Picture(
            width, height,
            Shrink(picture.R, picture.Width, columns, rows),
            Shrink(picture.G, picture.Width, columns, rows),
            Shrink(picture.B, picture.Width, columns, rows),
            picture.Encoding);
    }

    private static float[] Shrink(ReadOnlySpan<float> plane, int stride, Span[] columns, Span[] rows)
    {
        float[] small = new float[columns.Length * rows.Length];
        double[] sums = new double[columns.Length];
        for (int y = 0; y < rows.Length; y++)
        {
            Array.Clear(sums);
            for (int sy = rows[y].First; sy <= rows[y].Last; sy++)
            {
                double rowWeight = rows[y].WeightOf(sy);
                ReadOnlySpan<float> row = plane.Slice(sy * stride, stride);
                for (int x = 0; x < columns.Length; x++)
                {
                    Span c = columns[x];
                    double sum = c.FirstWeight * row[c.First];
                    for (int sx = c.First + 1; sx < c.Last; sx++)
                    {
                        sum += row[sx];
                    }

                    if (c.Last > c.First)
                    {
                        sum += c.LastWeight * row[c.Last];
                    }

                    sums[x] += rowWeight * sum;
                }
            }

            for (int x = 0; x < columns.Length; x++)
            {
                small[(y * columns.Length) + x] = (float)(sums[x] / (columns[x].Total * rows[y].Total));
            }
        }

        return small;
    }

    private static Span[] Cover(int from, int to)
    {
        Span[] spans = new Span[to];
        double step = (double)from / to;
        for (int i = 0; i < to; i++)
        {
            double start = i * step, end = Math.Min(from, (i + 1) * step);
            int first = Math.Min(from - 1, (int)Math.Floor(start));
            int last = Math.Clamp((int)Math.Ceiling(end) - 1, first, from - 1);
            spans[i] = first == last
                ? new Span(first, last, end - start, 0, end - start)
                : new Span(first, last, first + 1 - start, end - last, end - start);
        }

        return spans;
    }

    // The source pixels a new pixel covers: inner ones wholly, the first and last by their weights.
    private readonly record struct Span(int First, int Last, double FirstWeight, double LastWeight, double Total)
    {
        public double WeightOf(int i) => i == First ? FirstWeight : i == Last ? LastWeight : 1;
    }
}
