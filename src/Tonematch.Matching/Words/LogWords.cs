using System.Globalization;
using Tonematch.Samples;

namespace Tonematch.Matching.Words;

/// <summary>What to know about a recording that looks like a log profile, in words.</summary>
internal static class LogWords
{
    /// <summary>
    /// What was seen, what it means and what can improve the match, without criticising the choice of profile.
    /// </summary>
    /// <param name="camera">'Camera A' or 'Camera B'.</param>
    /// <param name="side">The side in options: primary or secondary.</param>
    /// <param name="tones">The tones measured in its pictures.</param>
    public static string Say(string camera, string side, RecordedTones tones) => string.Create(CultureInfo.InvariantCulture,
        $"{camera}'s recording looks like a log profile: its tones lie between {100 * tones.Black:0} and {100 * tones.White:0} % of the range, with the bright ones closer together. Such a profile keeps more of the light and is meant to be graded. It is matched as it is; the match can be better if the profile is known. If its maker offers a LUT for it, give that with --{side}-input; if it is one of the profiles built in here, name it with --{side}-encoding ({string.Join(", ", Colour.SignalEncoding.All.Where(e => e.IsLog || e.IsHdr).Select(e => e.Name))}). If you have neither, try --model curves-matrix, the kind of correction made for different tone curves.");
}
