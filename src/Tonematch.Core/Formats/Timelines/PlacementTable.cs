using System.Globalization;
using System.Text;
using Tonematch.Shoot;
using Tonematch.Sync;

namespace Tonematch.Formats.Timelines;

/// <summary>
/// The place of every clip of every camera on the first camera's clock, as a table and as plain text.
/// </summary>
public static class PlacementTable
{
    /// <summary>The table's columns.</summary>
    public const string Header = "camera,clip,start,end,start_seconds,end_seconds,drift_ppm,error_ms,confidence,sure,from,continues,note";

    /// <summary>Writes placement.csv: one clip per line; a clip without a place has empty times and a note.</summary>
    /// <param name="writer">The output.</param>
    /// <param name="times">The places.</param>
    /// <param name="timeline">The timeline that defines the timecodes.</param>
    public static void WriteCsv(TextWriter writer, ShootTimes times, Timeline timeline)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(times);
        ArgumentNullException.ThrowIfNull(timeline);
        writer.Write(Header + "\n");
        foreach (PlacedClip c in times.Clips)
        {
            string[] cells = c.IsPlaced
                ? [
                    c.Clip.Camera, c.Clip.Name, Code(c.StartSeconds, timeline), Code(c.EndSeconds, timeline), Number(c.StartSeconds, "0.######"), Number(c.EndSeconds, "0.######"),
                    Number(c.RatePpm, "0.###"), Number(c.ErrorSeconds * 1000, "0.###"), Number(c.Confidence, "0.####"), c.IsSure ? "yes" : "no",
                    Basis(c), c.Continues ?? "", string.Join(' ', c.Doubts),
                ]
                : [c.Clip.Camera, c.Clip.Name, "", "", "", "", "", "", Number(c.Confidence, "0.####"), "no", Basis(c), "", string.Join(' ', c.Doubts)];
            writer.Write(string.Join(',', cells.Select(Quoted)) + "\n");
        }
    }

    /// <summary>Writes placement.txt: the same as readable text.</summary>
    /// <param name="writer">The output.</param>
    /// <param name="times">The places.</param>
    /// <param name="timeline">The timeline that defines the timecodes.</param>
    public static void WriteText(TextWriter writer, ShootTimes times, Timeline timeline)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(times);
        ArgumentNullException.ThrowIfNull(timeline);
        writer.Write(string.Create(
            CultureInfo.InvariantCulture,
            $"Places on the clock of {times.Clocks[0].Camera}, hours:minutes:seconds:frames at {timeline.FramesPerSecond:0.###} frames a second{(timeline.IsDropFrame ? " (drop-frame)" : "")}\n"));
        foreach (DeviceClock clock in times.Clocks)
        {
            writer.Write("\n" + clock.Camera + (double.IsFinite(clock.RateErrorPpm) && clock != times.Clocks[0] && Math.Abs(clock.RatePpm) >= 0.05
                ? string.Create(CultureInfo.InvariantCulture, $": its clock runs {Math.Abs(clock.RatePpm):0.0} ppm {(clock.RatePpm >= 0 ? "fast" : "slow")} ({Math.Abs(clock.RatePpm) * 3.6:0} ms per hour)\n") : "\n"));
            foreach (PlacedClip c in times.Clips.Where(c => c.Clip.Camera == clock.Camera).OrderBy(c => c.IsPlaced ? c.StartSeconds : double.PositiveInfinity))
            {
                writer.Write(c.IsPlaced
                    ? $"  {Code(c.StartSeconds, timeline)}  {Code(c.EndSeconds, timeline)}  {c.Clip.Name}{(c.Continues is null ? "" : $", goes on from {c.Continues}")}, {Words(c)}{(c.IsSure ? "" : ", NOT SURE")}\n"
                    : $"  no place      {c.Clip.Name}\n");
                foreach (string doubt in c.Doubts)
                {
                    writer.Write($"      {doubt}\n");
                }
            }
        }
    }

    private static string Words(PlacedClip c) => c.Basis == PlacementBasis.Meetings
        ? string.Create(CultureInfo.InvariantCulture, $"{c.Meetings.Length} other clip{(c.Meetings.Length == 1 ? "" : "s")} heard the same")
        : Basis(c);

    private static string Basis(PlacedClip c) => c.Basis switch
    {
        PlacementBasis.Reference => "reference",
        PlacementBasis.Meetings => c.Meetings.Length == 1 ? "1 meeting" : string.Create(CultureInfo.InvariantCulture, $"{c.Meetings.Length} meetings"),
        PlacementBasis.DeviceClock => "its camera's clock",
        _ => "nothing",
    };

    private static string Number(double value, string format) => value.ToString(format, CultureInfo.InvariantCulture);

    // A clip may begin before the first camera: before the timeline's 0 the timecode wraps around midnight and is
    // marked.
    private static string Code(double seconds, Timeline timeline)
    {
        long frame = (long)Math.Round((timeline.StartSeconds + seconds) * timeline.FramesPerSecond);
        return frame < 0 && timeline.StartSeconds == 0
            ? "-" + Timecode.AtFrame(-frame, timeline.FramesPerSecond, timeline.IsDropFrame)
            : Timecode.AtFrame(frame, timeline.FramesPerSecond, timeline.IsDropFrame).ToString();
    }

    // RFC 4180.
    private static string Quoted(string text)
    {
        if (text.AsSpan().IndexOfAny(",\"\r\n") < 0)
        {
            return text;
        }

        StringBuilder quoted = new("\"");
        foreach (char c in text)
        {
            quoted.Append(c is '\r' or '\n' ? ' ' : c).Append(c == '"' ? "\"" : "");
        }

        return quoted.Append('"').ToString();
    }
}
