using System.Globalization;
using Tonematch.Samples;

namespace Tonematch.Matching.Words;

/// <summary>What to know of a recording that looks as if it was made in a log profile, in words.</summary>
internal static class LogWords
{
    /// <summary>What was seen, what it means, and what makes the match better. Nothing against the choice itself.</summary>
    /// <param name="camera">'Camera A' or 'Camera B'.</param>
    /// <param name="side">The side in options: primary or secondary.</param>
    /// <param name="tones">What was measured of its pictures.</param>
    public static string Say(string camera, string side, RecordedTones tones) => string.Create(CultureInfo.InvariantCulture,
        $"{camera}'s recording looks as if it was made in a log profile: its tones lie between {100 * tones.Black:0} and {100 * tones.White:0} % of the range, closer together towards the light ones. Such a profile keeps more of the light and is meant to be graded; it is matched as it is. The match can be better where the profile is known: give the LUT that its maker has for it with --{side}-input, or name it with --{side}-encoding if it is one that this program knows ({string.Join(", ", Colour.SignalEncoding.All.Where(e => e.IsLog || e.IsHdr).Select(e => e.Name))}). With neither, --model curves-matrix is the kind that is made for unlike curves.");
}
