using System.Globalization;
using System.Text;
using Tonematch.Sync;

namespace Tonematch.Formats.Timelines;

/// <summary>
/// An edit list in columns (event, reel, track, transition, source in and out, record in and out), commonly called CMX
/// 3600: one list per camera, since a list holds one picture track. The format is common practice; drop-frame counting
/// follows SMPTE ST 12-1.
/// </summary>
public static class EditList
{
    private const int ReelLength = 8;
    private const int MostEvents = 999;

    /// <summary>Writes one camera's list.</summary>
    /// <param name="writer">The output.</param>
    /// <param name="timeline">The timeline, whose frame rate is used throughout.</param>
    /// <param name="track">One of its tracks, with at most 999 clips.</param>
    /// <exception cref="ArgumentException">There are more clips than an edit list can number.</exception>
    public static void Write(TextWriter writer, Timeline timeline, TimelineTrack track)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(timeline);
        ArgumentNullException.ThrowIfNull(track);
        if (track.Clips.Length > MostEvents)
        {
            throw new ArgumentException($"An edit list numbers {MostEvents} events.", nameof(track));
        }

        double rate = timeline.FramesPerSecond;
        writer.Write($"TITLE: {OneLine(timeline.Name)} {OneLine(track.Name)}\nFCM: {(timeline.IsDropFrame ? "DROP FRAME" : "NON-DROP FRAME")}\n\n");
        HashSet<string> reels = [];
        int number = 0;
        foreach (TimelineClip clip in track.Clips.OrderBy(c => c.StartSeconds))
        {
            // Source and record side of an event have the same length, in frames of the timeline.
            long record = (long)Math.Round((timeline.StartSeconds + clip.StartSeconds) * rate);
            long frames = Math.Max(1, (long)Math.Round((clip.EndSeconds - clip.StartSeconds) * rate));
            long source = (long)Math.Round(clip.MediaStartSeconds * rate);
            string Code(long frame) => Timecode.AtFrame(frame, rate, timeline.IsDropFrame).ToString();
            writer.Write(string.Create(
                CultureInfo.InvariantCulture,
                $"{++number:000}  {Reel(clip.Name, reels),-ReelLength} {(track.HasPictures ? "V" : "A"),-5} C        {Code(source)} {Code(source + frames)} {Code(record)} {Code(record + frames)}\n"));
            writer.Write($"* FROM CLIP NAME: {OneLine(clip.Name)}\n");
            if (clip.Correction is not null && clip.States.IsEmpty)
            {
                writer.Write($"* CORRECTION: {OneLine(clip.Correction)}\n");
            }

            foreach (TimelineState state in clip.States)
            {
                writer.Write($"* CORRECTION FROM {Code(source + (long)Math.Round(state.FromSeconds * rate))}: {OneLine(state.Correction)}\n");
            }
        }
    }

    // Eight letters and digits, unique for each clip.
    private static string Reel(string name, HashSet<string> taken)
    {
        StringBuilder reel = new();
        foreach (char c in Path.GetFileNameWithoutExtension(name).ToUpperInvariant())
        {
            if (char.IsAsciiLetterOrDigit(c) && reel.Length < ReelLength)
            {
                reel.Append(c);
            }
        }

        string start = reel.Length > 0 ? reel.ToString() : "CLIP", unique = start;
        for (int k = 2; !taken.Add(unique); k++)
        {
            string end = k.ToString(CultureInfo.InvariantCulture);
            unique = start[..Math.Min(start.Length, ReelLength - end.Length)] + end;
        }

        return unique;
    }

    private static string OneLine(string text) => new([.. text.Select(c => char.IsControl(c) ? ' ' : c)]);
}
