using System.Globalization;

namespace Tonematch.Workbench.Sound;

/// <summary>Instants as timecode: hours:minutes:seconds:frames.</summary>
internal static class ClockText
{
    /// <summary>
    /// The text, with frames counted at the nominal rate without dropping numbers; negative instants have a minus sign.
    /// </summary>
    /// <param name="seconds">The instant.</param>
    /// <param name="rate">Frames per second, above 0.</param>
    public static string Of(double seconds, double rate)
    {
        long frames = (long)Math.Round(Math.Abs(seconds) * rate), nominal = Math.Max(1, (long)Math.Round(rate));
        (long whole, long frame) = Math.DivRem(frames, nominal);
        return string.Create(CultureInfo.InvariantCulture,
            $"{(seconds < 0 && frames > 0 ? "-" : "")}{whole / 3600:00}:{whole / 60 % 60:00}:{whole % 60:00}:{frame:00}");
    }
}
