using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Drift;

namespace Tonematch.Formats;

/// <summary>
/// Reads and writes drift.csv, the drift of a camera's exposure and white balance: header
/// <c>seconds,stops,mired,green_magenta[,stops_error,mired_error,green_magenta_error]</c>, then one point per line in
/// time order; lines that begin with '#' are comments. Linear between the points, constant beyond them.
/// </summary>
public static class DriftCsv
{
    /// <summary>The largest number of points that is read: one for every frame of several hours.</summary>
    public const int MaxPoints = 1_000_000;

    private const string Needed = "seconds,stops,mired,green_magenta";
    private const string WithErrors = Needed + ",stops_error,mired_error,green_magenta_error";

    // No automatic camera setting goes beyond these; a typing error is more likely.
    private const double MostStops = 12;
    private const double MostMired = 600;

    /// <summary>Reads a drift.</summary>
    /// <param name="reader">The text.</param>
    /// <param name="fileName">How messages name the file.</param>
    /// <exception cref="UnusableInputException">The text is not a valid table; the message names the line.</exception>
    public static DriftTrack Read(TextReader reader, string fileName)
    {
        ArgumentNullException.ThrowIfNull(reader);
        ImmutableArray<DriftPoint>.Builder points = ImmutableArray.CreateBuilder<DriftPoint>();
        int number = 0, columns = 0;
        while (reader.ReadLine() is { } line)
        {
            number++;
            string text = line.Trim().TrimStart('\uFEFF');
            if (text.Length == 0 || text[0] == '#')
            {
                continue;
            }

            if (text.Length > 1000)
            {
                throw Fault("the line is too long");
            }

            if (columns == 0)
            {
                string header = text.Replace(" ", "", StringComparison.Ordinal).ToLowerInvariant();
                columns = header == Needed ? 4 : header == WithErrors ? 7 : throw Fault($"the first line must be '{Needed}'");
                continue;
            }

            string[] cells = text.Split(',');
            if (cells.Length != columns)
            {
                throw Fault($"there are {cells.Length} values instead of {columns}");
            }

            double[] v = new double[columns];
            for (int c = 0; c < columns; c++)
            {
                if (!double.TryParse(cells[c], NumberStyles.Float, CultureInfo.InvariantCulture, out v[c]) || !double.IsFinite(v[c]))
                {
                    throw Fault($"'{cells[c].Trim()}' is not a number");
                }
            }

            if (Math.Abs(v[1]) > MostStops || Math.Abs(v[2]) > MostMired || Math.Abs(v[3]) > MostStops)
            {
                throw Fault($"a value is beyond {MostStops} stops or {MostMired} mired");
            }

            if (points.Count > 0 && v[0] <= points[^1].Seconds)
            {
                throw Fault("its time is not after that of the line before");
            }

            if (points.Count == MaxPoints)
            {
                throw Fault($"there are more than {MaxPoints} points");
            }

            points.Add(new DriftPoint(v[0], new(v[1], v[2], v[3]), columns == 7 ? new(v[4], v[5], v[6]) : default));
        }

        return points.Count > 0
            ? new DriftTrack(points.ToImmutable())
            : throw new UnusableInputException($"'{fileName}' holds no points. It should begin with the line '{Needed}' and hold one line for each point.");

        UnusableInputException Fault(string what) => new($"'{fileName}', line {number}: {what}.");
    }

    /// <summary>Writes a drift; reading it back gives the same numbers.</summary>
    public static void Write(TextWriter writer, DriftTrack track)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(track);
        writer.Write("# How this clip's light differs from its usual value; rendering removes the difference before the correction.\n");
        writer.Write("# seconds: time in the clip. stops: above 0 is too light. mired: above 0 is too warm. green_magenta: stops, above 0 is too green.\n");
        writer.Write("# Linear between the lines, constant before the first and after the last. Lines may be changed, added and removed.\n");
        writer.Write(WithErrors + "\n");
        foreach (DriftPoint p in track.Points)
        {
            double[] values = [p.Seconds, p.Value.Stops, p.Value.Mired, p.Value.GreenMagenta, p.Error.Stops, p.Error.Mired, p.Error.GreenMagenta];
            writer.Write(string.Join(',', values.Select(v => v.ToString("R", CultureInfo.InvariantCulture))) + "\n");
        }
    }
}
