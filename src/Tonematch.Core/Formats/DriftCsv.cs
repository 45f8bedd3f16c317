using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Drift;

namespace Tonematch.Formats;

/// <summary>
/// The course of a camera's exposure and white balance, drift.csv: header
/// <c>seconds,stops,mired,green_magenta[,stops_error,mired_error,green_magenta_error]</c>, then one point a line in order
/// of time; lines that begin with '#' are for people. Straight between the points, level beyond them.
/// </summary>
public static class DriftCsv
{
    /// <summary>The most points that are read: one for every frame of some hours.</summary>
    public const int MaxPoints = 1_000_000;

    private const string Needed = "seconds,stops,mired,green_magenta";
    private const string WithErrors = Needed + ",stops_error,mired_error,green_magenta_error";

    // Beyond these no camera's automatic goes, and a slip of the pen is likelier.
    private const double MostStops = 12;
    private const double MostMired = 600;

    /// <summary>Reads a course.</summary>
    /// <param name="reader">The text.</param>
    /// <param name="fileName">How messages name the file.</param>
    /// <exception cref="UnusableInputException">The text is not such a table; the message names the line.</exception>
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
                throw Fault($"there are {cells.Length} values in place of {columns}");
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
                throw Fault("its time does not lie after that of the line before");
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

    /// <summary>Writes a course; it reads back as the same numbers.</summary>
    public static void Write(TextWriter writer, DriftTrack track)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(track);
        writer.Write("# How this clip's light differs from what it usually is; rendering takes it out before the correction.\n");
        writer.Write("# seconds: time in the clip. stops: above 0 is too light. mired: above 0 is too warm. green_magenta: stops, above 0 is too green.\n");
        writer.Write("# Straight between the lines, level before the first and after the last. Lines may be changed, added and left out.\n");
        writer.Write(WithErrors + "\n");
        foreach (DriftPoint p in track.Points)
        {
            double[] values = [p.Seconds, p.Value.Stops, p.Value.Mired, p.Value.GreenMagenta, p.Error.Stops, p.Error.Mired, p.Error.GreenMagenta];
            writer.Write(string.Join(',', values.Select(v => v.ToString("R", CultureInfo.InvariantCulture))) + "\n");
        }
    }
}
