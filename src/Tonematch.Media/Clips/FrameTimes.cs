using System.Globalization;
using Tonematch.Media.Frames;
using Tonematch.Media.Processes;
using Tonematch.Numerics;

namespace Tonematch.Media.Clips;

/// <summary>The presentation times of a clip's frames, read from its packets without decoding.</summary>
public sealed class FrameTimes
{
    private readonly double[] _seconds;
    private readonly bool[] _isKey;

    /// <summary>Makes the times of known frames.</summary>
    /// <param name="seconds">Their presentation times on the clip's time line, ascending.</param>
    /// <param name="isKeyframe">Whether each is a keyframe.</param>
    /// <exception cref="ArgumentException">The two differ in length.</exception>
    public FrameTimes(IReadOnlyList<double> seconds, IReadOnlyList<bool> isKeyframe)
    {
        ArgumentNullException.ThrowIfNull(seconds);
        ArgumentNullException.ThrowIfNull(isKeyframe);
        if (seconds.Count != isKeyframe.Count)
        {
            throw new ArgumentException("Each frame needs a time and whether it is a keyframe.", nameof(isKeyframe));
        }

        (_seconds, _isKey) = ([.. seconds], [.. isKeyframe]);
    }

    /// <summary>Number of frames.</summary>
    public int Count => _seconds.Length;

    /// <summary>
    /// The frames' presentation times, ascending, in seconds on the clip's time line (0 = first frame).
    /// </summary>
    public ReadOnlySpan<double> Seconds => _seconds;

    /// <summary>Whether each frame is a keyframe: decoding can begin there, so it is quick to decode.</summary>
    public ReadOnlySpan<bool> IsKeyframe => _isKey;

    /// <summary>The usual (median) distance between frames, seconds; 0 for a single frame.</summary>
    public double UsualGapSeconds => Median.Of(_seconds.Skip(1).Zip(_seconds, (after, before) => after - before));

    /// <summary>The frame shown at an instant: the last one whose time is not after it; -1 before the first.</summary>
    public int IndexAt(double seconds)
    {
        // Half a microsecond of tolerance, so that times converted through text still find their own frame.
        int i = Array.BinarySearch(_seconds, seconds + 5e-7);
        return i >= 0 ? i : ~i - 1;
    }

    /// <summary>The frame whose time is nearest, the earlier one of two equally near; -1 if there is none.</summary>
    public int NearestTo(double seconds)
    {
        int before = IndexAt(seconds);
        return before < 0 ? Math.Min(0, Count - 1)
            : before + 1 < Count && _seconds[before + 1] - seconds < seconds - _seconds[before] ? before + 1
            : before;
    }

    /// <summary>
    /// A neighbour of a frame that costs nothing extra, because it is decoded on the way: the previous one or, if every
    /// frame decodes on its own, the next one. Null for a keyframe, whose neighbours cost more than itself.
    /// </summary>
    /// <param name="index">Index of the frame.</param>
    public int? Beside(int index)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(index);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(index, Count);
        return !_isKey[index] ? (index > 0 ? index - 1 : null)
            : index + 1 < Count && _isKey[index + 1] ? index + 1
            : null;
    }

    /// <summary>Reads the times of all frames; a second call for the same clip is free.</summary>
    /// <exception cref="UnusableInputException">The file can no longer be read, or holds no frame.</exception>
    public static async Task<FrameTimes> ReadAsync(ClipInfo clip, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clip);
        if (clip.IsStillImage)
        {
            return new FrameTimes([0], [true]);
        }

        return clip.KnownTimes.All ??= await ReadPacketsAsync(clip, intervals: null, cancel).ConfigureAwait(false);
    }

    /// <summary>
    /// The times around some instants: all of them if already known or if the clip is short, otherwise by seeking to
    /// each instant, which saves reading gigabytes.
    /// </summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="seconds">The instants, 0 or more.</param>
    /// <param name="reach">The range before and after each, seconds, above 0.</param>
    /// <param name="cancel">Cancels the work and the process.</param>
    public static async Task<FrameTimes> ReadAroundAsync(ClipInfo clip, IReadOnlyList<double> seconds, double reach, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(clip);
        ArgumentNullException.ThrowIfNull(seconds);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(reach);
        const double shortSeconds = 60;
        if (clip.IsStillImage || clip.KnownTimes.All is not null || !clip.SeeksExactly
            || clip.DurationSeconds < Math.Max(shortSeconds, 8 * seconds.Count * reach))
        {
            return await ReadAsync(clip, cancel).ConfigureAwait(false);
        }

        if (clip.KnownTimes.Around is { } before && before.Hold(seconds, reach))
        {
            return before.Times;
        }

        // Frames may be stored up to 16 frames before they are shown; at low rates that is more than a second.
        double margin = Math.Max(reach, 20 / Math.Max(clip.FrameRate.Value, 1));
        string intervals = string.Join(',', seconds.Order().Select(s => string.Create(
            CultureInfo.InvariantCulture,
            $"{Math.Max(0, s + clip.ContainerStartSeconds - reach):0.######}%{s + clip.ContainerStartSeconds + margin:0.######}")));
        FrameTimes found = await ReadPacketsAsync(clip, intervals, cancel).ConfigureAwait(false);
        if (!seconds.All(s => !(s >= 0) || found.IndexAt(s) >= 0))
        {
            return await ReadAsync(clip, cancel).ConfigureAwait(false);
        }

        clip.KnownTimes.Around = new Stretches([.. seconds], reach, found);
        return found;
    }

    /// <summary>Measures the length of a clip whose container does not state it.</summary>
    internal static async Task<double> MeasureDurationAsync(
        string path, MediaInput input, int stream, Rational timeBase, CancellationToken cancel)
    {
        (List<(long Ticks, bool Key)> packets, _) = await PacketsAsync(path, input, stream, timesAreStored: false, intervals: null, cancel).ConfigureAwait(false);
        if (packets.Count == 0)
        {
            throw new UnusableInputException($"'{path}' holds no frame (its length is 0). The file may be cut off: copy it again from the camera.");
        }

        long first = packets.Min(p => p.Ticks), last = packets.Max(p => p.Ticks);
        long gap = packets.Count > 1 ? (last - first) / (packets.Count - 1) : 1;
        return (last - first + gap) * timeBase.Value;
    }

    private static async Task<FrameTimes> ReadPacketsAsync(ClipInfo clip, string? intervals, CancellationToken cancel)
    {
        (List<(long Ticks, bool Key)> packets, bool guessed) =
            await PacketsAsync(clip.Path, clip.Input, clip.StreamIndex, clip.SeeksExactly, intervals, cancel).ConfigureAwait(false);
        if (packets.Count == 0)
        {
            throw new UnusableInputException($"'{clip.Path}' holds no frame. The file may be cut off: copy it again from the camera.");
        }

        if (guessed && clip.ReordersFrames)
        {
            // Without presentation times in the file (old AVI), only decoding gives the order of the frames.
            packets = await DecodedTimesAsync(clip, cancel).ConfigureAwait(false);
        }

        packets.Sort((a, b) => a.Ticks.CompareTo(b.Ticks));
        List<double> seconds = new(packets.Count);
        List<bool> keys = new(packets.Count);
        long? previous = null;
        foreach ((long ticks, bool key) in packets)
        {
            // Intervals may overlap; two fields of a frame may have the same time.
            if (ticks != previous)
            {
                seconds.Add((ticks * clip.TimeBase.Value) - clip.ContainerStartSeconds);
                keys.Add(key);
                previous = ticks;
            }
        }

        return new FrameTimes(seconds, keys);
    }

    // If the container stores the times, the stream need not be analysed, which halves the cost.
    private static async Task<(List<(long Ticks, bool Key)> Packets, bool TimesAreGuessed)> PacketsAsync(
        string path, MediaInput input, int stream, bool timesAreStored, string? intervals, CancellationToken cancel)
    {
        (int code, string text, string errors) = await FfmpegProcess.RunAsync(
            FfmpegTools.Ffprobe,
            [
                "-v", "error", .. timesAreStored ? ["-nofind_stream_info"] : (string[])[], .. input.OpenWith(), "-select_streams", stream.ToString(CultureInfo.InvariantCulture),
                "-show_entries", "packet=pts,dts,flags", "-of", "compact=p=0:nk=0", .. intervals is null ? (string[])[] : ["-read_intervals", intervals],
            ],
            cancel).ConfigureAwait(false);
        if (code != 0)
        {
            throw new UnusableInputException(FfmpegMessage.WhyNotOpened(path, errors));
        }

        List<(long, bool)> packets = [];
        bool guessed = false;
        foreach (ReadOnlySpan<char> line in text.AsSpan().EnumerateLines())
        {
            long? pts = Field(line, "pts="), dts = Field(line, "dts=");
            int flags = line.IndexOf("flags=", StringComparison.Ordinal);
            if ((pts ?? dts) is { } ticks && flags >= 0 && !line[flags..].Contains('D'))
            {
                guessed |= pts is null;
                packets.Add((ticks, line[(flags + 6)..].StartsWith("K", StringComparison.Ordinal)));
            }
        }

        return (packets, guessed);
    }

    /// <summary>
    /// The times read so far, cached in the clip, because reading all of them means reading the whole file.
    /// </summary>
    internal sealed class Known
    {
        public FrameTimes? All { get; set; }

        // The last ranges read, because frames are usually chosen from them next.
        public Stretches? Around { get; set; }
    }

    /// <summary>The frames around some instants.</summary>
    internal sealed record Stretches(double[] Instants, double Reach, FrameTimes Times)
    {
        public bool Hold(IReadOnlyList<double> seconds, double reach) =>
            seconds.All(s => Array.Exists(Instants, i => Math.Abs(s - i) + reach <= Reach));
    }

    private static long? Field(ReadOnlySpan<char> line, string name)
    {
        int at = line.IndexOf(name, StringComparison.Ordinal);
        if (at < 0)
        {
            return null;
        }

        ReadOnlySpan<char> rest = line[(at + name.Length)..];
        int end = rest.IndexOf('|');
        return long.TryParse(end < 0 ? rest : rest[..end], NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out long v) ? v : null;
    }

    private static async Task<List<(long Ticks, bool Key)>> DecodedTimesAsync(ClipInfo clip, CancellationToken cancel)
    {
        List<(long, bool)> frames = [];
        await foreach (FrameLine line in RawFrames.ListAsync(clip, cancel).ConfigureAwait(false))
        {
            frames.Add(((long)Math.Round((line.Seconds + clip.ContainerStartSeconds) / clip.TimeBase.Value), line.IsKey));
        }

        return frames;
    }
}
