using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;

namespace Tonematch.Matching.Words;

/// <summary>Sentences about input LUTs.</summary>
internal static class InputWords
{
    /// <summary>What was applied before the colours were used.</summary>
    public static IEnumerable<string> Before(MatchRequest request) =>
    [
        .. Of("Camera A", request.Primary, "primary"),
        .. Of("Camera B", request.Secondary, "secondary"),
    ];

    /// <summary>Where the input LUTs are in the results.</summary>
    /// <param name="primary">The primary's file; null without one.</param>
    /// <param name="secondary">The correction with the secondary's; null without one.</param>
    public static ImmutableArray<string> After(string? primary, CorrectionWithInput? secondary) =>
    [
        .. secondary is null ? (string[])[] :
        [
            string.Create(CultureInfo.InvariantCulture,
                $"{Path.GetFileName(secondary.Input.Path)} is part of correction.cube and correction.clf: load one of them alone, on camera B's clips as they were recorded. As a table of {secondary.Lut.Size} nodes the two are within {secondary.BakingError.DeltaE.Mean:0.00} Delta E on average over all colours, {secondary.BakingError.DeltaE.Max:0.0} at most; correction.clf holds the file's own steps. There is no CDL: ten numbers cannot hold such a file (lut convert says what it would cost)."),
        ],
        .. primary is null ? (string[])[] :
        [
            $"The correction matches camera B to camera A as converted by {Path.GetFileName(primary)}: load that file on camera A's clips. It is not part of the correction.",
        ],
    ];

    private static IEnumerable<string> Of(string whose, ClipRequest clip, string option)
    {
        if (clip.Input is { } input)
        {
            string file = Path.GetFileName(input.Path);
            yield return $"{whose}'s recording is converted by {file} before its colours are used: 'as recorded' means after that.{(clip.Encoding is null ? $" Its output is assumed to be bt709; use --{option}-encoding if that is wrong." : "")}";
        }
    }
}
