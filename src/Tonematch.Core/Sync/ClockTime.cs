using System.Diagnostics.CodeAnalysis;
using System.Globalization;

namespace Tonematch.Sync;

/// <summary>Parses times given by hand.</summary>
public static class ClockTime
{
    private const string Allowed = "Allowed: seconds (12.48), HH:MM:SS.mmm, or timecode HH:MM:SS:FF (HH:MM:SS;FF for drop-frame).";

    /// <summary>
    /// Reads seconds ('12.48'), clock time ('MM:SS.mmm', 'HH:MM:SS.mmm') or SMPTE timecode ('HH:MM:SS:FF', with ';' before
    /// the frames for drop-frame), counted from the clip's start. A leading minus is allowed for seconds and clock time.
    /// </summary>
    /// <param name="text">What the user wrote.</param>
    /// <param name="framesPerSecond">The clip's rate for a timecode; null if it has none (variable rate, still).</param>
    /// <param name="seconds">The time in seconds if the result is true.</param>
    /// <param name="error">One or two sentences if the result is false.</param>
    public static bool TryParse(string? text, double? framesPerSecond, out double seconds, [NotNullWhen(false)] out string? error)
    {
        seconds = 0;
        string trimmed = (text ?? "").Trim();
        if (trimmed.Length == 0)
        {
            error = $"The time is empty. {Allowed}";
            return false;
        }

        if (trimmed.Contains(';', StringComparison.Ordinal) || trimmed.Count(c => c == ':') == 3)
        {
            if (framesPerSecond is not double rate)
            {
                error = $"The time '{trimmed}' is a timecode, but the clip has no constant frame rate to count it by. Give the time in seconds.";
                return false;
            }

            if (!Timecode.TryParse(trimmed, rate, out Timecode? timecode, out error))
            {
                return false;
            }

            seconds = timecode.Seconds;
            return true;
        }

        bool negative = trimmed[0] == '-';
        string[] parts = trimmed.TrimStart('-').Split(':');
        if (parts.Length > 3 || (negative && trimmed.StartsWith("--", StringComparison.Ordinal)))
        {
            error = $"'{trimmed}' is not a time. {Allowed}";
            return false;
        }

        const NumberStyles Decimal = NumberStyles.AllowDecimalPoint;
        for (int k = 0; k < parts.Length; k++)
        {
            bool last = k == parts.Length - 1;
            if (!double.TryParse(parts[k], last ? Decimal : NumberStyles.None, CultureInfo.InvariantCulture, out double value) || !double.IsFinite(value))
            {
                error = parts[k].Contains(',', StringComparison.Ordinal)
                    ? $"'{trimmed}' has a comma; write decimals with a point."
                    : $"'{trimmed}' is not a time. {Allowed}";
                return false;
            }

            if (k > 0 && value >= 60)
            {
                error = $"In '{trimmed}' the {(last ? "seconds" : "minutes")} are {parts[k]}; they must be below 60.";
                return false;
            }

            seconds = (seconds * 60) + value;
        }

        seconds = negative ? -seconds : seconds;
        error = null;
        return true;
    }
}
