using System.Diagnostics.CodeAnalysis;
using System.Globalization;
using System.Text.RegularExpressions;

namespace Tonematch.Sync;

/// <summary>An SMPTE timecode (SMPTE ST 12-1): a frame's number since midnight at a nominal rate.</summary>
/// <remarks>
/// Drop-frame counting leaves out frame numbers 0 and 1 (0 to 3 at 59.94) of every minute that is not a multiple of ten,
/// so that the clock keeps time at 30000/1001 frames a second (ST 12-1, clause on drop-frame compensation).
/// </remarks>
public sealed partial record Timecode
{
    private Timecode(long frame, double framesPerSecond, bool isDropFrame) =>
        (Frame, FramesPerSecond, IsDropFrame) = (frame, framesPerSecond, isDropFrame);

    /// <summary>Frames since 00:00:00:00 (real frames: dropped numbers do not count).</summary>
    public long Frame { get; }

    /// <summary>The true frame rate, e.g. 30000/1001.</summary>
    public double FramesPerSecond { get; }

    /// <summary>Whether it drops frame numbers.</summary>
    public bool IsDropFrame { get; }

    /// <summary>Real time since 00:00:00:00, seconds.</summary>
    public double Seconds => Frame / FramesPerSecond;

    /// <summary>
    /// The time of day as it reads, seconds. Counted at 29.97 frames a second without dropping numbers, it falls behind
    /// the clock, and <see cref="Seconds"/>, by 3.6 s an hour.
    /// </summary>
    public double ReadSeconds => IsDropFrame ? Seconds : Frame / Math.Max(1, Math.Round(FramesPerSecond));

    /// <summary>The timecode of a frame.</summary>
    /// <param name="frame">Frames since 00:00:00:00; below 0 or beyond a day it wraps around midnight.</param>
    /// <param name="framesPerSecond">The true rate, above 0 and up to 480; near n * 1000 / 1001 it is taken as exactly that.</param>
    /// <param name="dropFrame">Whether it drops frame numbers; at 30000/1001 and 60000/1001 only.</param>
    /// <exception cref="ArgumentException">The rate is out of range, or has no drop-frame timecode.</exception>
    public static Timecode AtFrame(long frame, double framesPerSecond, bool dropFrame = false)
    {
        if (!(framesPerSecond > 0) || framesPerSecond > 480)
        {
            throw new ArgumentOutOfRangeException(nameof(framesPerSecond), framesPerSecond, "A timecode is counted at up to 480 frames a second.");
        }

        double rate = Exact(framesPerSecond);
        if (dropFrame && !HasDropFrame(rate))
        {
            throw new ArgumentException("Drop-frame timecode exists at 29.97 and 59.94 frames a second only.", nameof(dropFrame));
        }

        int nominal = Math.Max(1, (int)Math.Round(rate));
        long day = (86400L * nominal) - (dropFrame ? 24 * 54L * (nominal / 15) : 0);
        return new Timecode(((frame % day) + day) % day, rate, dropFrame);
    }

    /// <summary>Whether drop-frame timecode exists at a rate: 30000/1001 and 60000/1001 and their multiples.</summary>
    public static bool HasDropFrame(double framesPerSecond)
    {
        double rate = Exact(framesPerSecond);
        return Math.Round(rate) % 30 == 0 && rate != Math.Round(rate);
    }

    /// <summary>'HH:MM:SS:FF', or 'HH:MM:SS;FF' for drop-frame.</summary>
    public override string ToString()
    {
        int nominal = Math.Max(1, (int)Math.Round(FramesPerSecond));
        long number = Frame;
        if (IsDropFrame)
        {
            // In every ten minutes the first is complete; each of the other nine drops the same few numbers.
            int left = nominal / 15;
            long minute = (60L * nominal) - left, ten = (10 * minute) + left;
            (long tens, long rest) = Math.DivRem(number, ten);
            number += left * ((9 * tens) + (rest < minute + left ? 0 : (rest - left) / minute));
        }

        (long seconds, long frames) = Math.DivRem(number, nominal);
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{seconds / 3600 % 24:00}:{seconds / 60 % 60:00}:{seconds % 60:00}{(IsDropFrame ? ';' : ':')}{frames:00}");
    }

    /// <summary>Reads 'HH:MM:SS:FF', or 'HH:MM:SS;FF' for drop-frame.</summary>
    /// <param name="text">The timecode.</param>
    /// <param name="framesPerSecond">The clip's rate, above 0 and up to 480; near n * 1000 / 1001 it is taken as exactly that.</param>
    /// <param name="timecode">The timecode if the result is true.</param>
    /// <param name="error">One or two sentences if the result is false.</param>
    public static bool TryParse(
        string? text, double framesPerSecond, [NotNullWhen(true)] out Timecode? timecode, [NotNullWhen(false)] out string? error)
    {
        timecode = null;
        if (!(framesPerSecond > 0) || framesPerSecond > 480)
        {
            error = FormattableString.Invariant($"A timecode cannot be counted at {framesPerSecond} frames a second.");
            return false;
        }

        Match match = Form().Match(text ?? "");
        if (!match.Success)
        {
            error = $"'{text}' is not a timecode; write HH:MM:SS:FF, or HH:MM:SS;FF for drop-frame.";
            return false;
        }

        int Part(int group) => int.Parse(match.Groups[group].ValueSpan, CultureInfo.InvariantCulture);
        (int hours, int minutes, int seconds, int frames) = (Part(1), Part(2), Part(3), Part(5));
        bool drop = match.Groups[4].Value != ":";
        double rate = Exact(framesPerSecond);
        int nominal = (int)Math.Round(rate);
        if (hours > 23 || minutes > 59 || seconds > 59)
        {
            error = $"In '{text}' hours go to 23, minutes and seconds to 59.";
            return false;
        }

        if (frames >= nominal)
        {
            error = FormattableString.Invariant($"In '{text}' the frame number is {frames}; at {framesPerSecond:0.###} frames a second it goes to {nominal - 1}.");
            return false;
        }

        long count = ((((hours * 60L) + minutes) * 60) + seconds) * nominal + frames;
        if (drop)
        {
            if (!HasDropFrame(rate))
            {
                error = FormattableString.Invariant($"'{text}' is drop-frame timecode, which exists at 29.97 and 59.94 frames a second only; this clip has {framesPerSecond:0.###}.");
                return false;
            }

            int left = nominal / 15;
            if (seconds == 0 && frames < left && minutes % 10 != 0)
            {
                error = $"The frame number in '{text}' does not exist in drop-frame timecode: each minute but every tenth begins with frame {left:00}.";
                return false;
            }

            long allMinutes = (hours * 60L) + minutes;
            count -= left * (allMinutes - (allMinutes / 10));
        }

        timecode = new Timecode(count, rate, drop);
        error = null;
        return true;
    }

    // 23.976, 29.97, 59.94 and their like mean n * 1000 / 1001.
    private static double Exact(double framesPerSecond)
    {
        double nominal = Math.Round(framesPerSecond), pulled = nominal * 1000 / 1001;
        return Math.Abs(framesPerSecond - pulled) < 0.005 ? pulled : framesPerSecond;
    }

    [GeneratedRegex(@"^(\d{1,2}):(\d{2}):(\d{2})([:;])(\d{2,3})$", RegexOptions.CultureInvariant)]
    private static partial Regex Form();
}
