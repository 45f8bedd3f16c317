using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using Tonematch.Matching.Outcome;

namespace Tonematch.Matching.Words;

/// <summary>
/// The verdict in words, the same on the terminal, in the report and in the workbench; and its names for programs.
/// </summary>
public static class VerdictWords
{
    /// <summary>The verdict in two or three words, for a badge.</summary>
    public static string Mark(VerdictKind kind) => kind switch
    {
        VerdictKind.Use => "use it",
        VerdictKind.LookFirst => "look first",
        _ => "do not use it",
    };

    /// <summary>The verdict with its figure, in one sentence.</summary>
    public static string Headline(Verdict verdict)
    {
        ArgumentNullException.ThrowIfNull(verdict);
        string figure = $"Delta E {Number(verdict.Figure.Mean)} {On(verdict.FigureOf)}, {DeltaEWords.Visible(verdict.Figure.Mean)}";
        return verdict switch
        {
            { Kind: VerdictKind.Use } => $"Use it: {figure}.",
            { Kind: VerdictKind.LookFirst } => $"Look first: {figure}.",
            { Reasons: [{ Cause: VerdictCause.NothingInCommon }, ..] } => "Do not use it, because nothing was found that both cameras saw.",
            { Reasons: [{ Cause: VerdictCause.OtherLight }, ..] } => "Do not use it, because the two pictures show the same things under different light.",
            { Reasons: [{ Cause: VerdictCause.NoBetterThanNothing }, ..] } => $"Do not use it, because it is no better than nothing: {figure}.",
            { Reasons: [{ Cause: VerdictCause.NothingHelps }, ..] } => $"Do not use it, because no correction brings the cameras together: {figure}.",
            _ => $"Do not use it, because colours come out as others: {figure}.",
        };
    }

    /// <summary>All reasons in sentences, most serious first.</summary>
    public static ImmutableArray<string> Reasons(Verdict verdict)
    {
        ArgumentNullException.ThrowIfNull(verdict);
        return [.. verdict.Reasons.Select(Say)];
    }

    /// <summary>One reason in a sentence.</summary>
    public static string Say(VerdictReason reason)
    {
        ArgumentNullException.ThrowIfNull(reason);
        string value = Number(reason.Value), other = Number(reason.Other ?? 0);
        return reason.Cause switch
        {
            VerdictCause.NothingInCommon => "Nothing was found that both cameras saw, so only the pictures as a whole could be compared, and pictures of two things always differ. Choose instants at which both see the same things, or film a chart; --method overall compares whole pictures if that is what you want.",
            VerdictCause.NoBetterThanNothing => $"On colours it was not fitted to, it leaves Delta E {value}; as recorded they differ by {other}.",
            VerdictCause.NothingHelps => $"The cameras are Delta E {value} apart, and every kind of correction that was tried is worse than none.",
            VerdictCause.OtherLight => "Things of the same colour change in different ways from camera A to camera B, as happens in different light: day and night, or sun and shade. Compare instants under the same light.",
            VerdictCause.AnotherColour => $"A Delta E of {value} is a different colour.",
            VerdictCause.Seen => $"What is left is {DeltaEWords.Visible(reason.Value)}: look at faces, whites and blacks in the cuts.",
            VerdictCause.WholePicture => "Whole pictures were compared, as you asked. That matches their overall look if both show the same kind of things; look at individual things.",
            VerdictCause.PlacesDisagree => $"{(reason.Against.Length > 0 ? $"Tested on places left out of the fit, it leaves {other} on {reason.Against} but {value} on {reason.What}" : $"Tested on {reason.What} left out of the fit, it leaves {value}")}. No colour correction can remove what a camera does to one part of its picture. Look at {reason.What}.",
            VerdictCause.PlaceGetsWorse => $"On {reason.What} it makes things worse: Delta E {value} instead of {other}. Look there.",
            VerdictCause.VeiledBoard => $"All colours come from one board, and there one picture is hazier by {Percent(reason.Value, "0.0")} of white. Haze is not the same everywhere: look at what is away from the board, or compare things there too.",
            VerdictCause.FewSamples => string.Create(CultureInfo.InvariantCulture, $"Only {reason.Value:0} thing{(reason.Value < 1.5 ? " was" : "s were")} compared. Look at colours that are not among them, or compare more."),
            VerdictCause.LowCoverage => $"Only {Percent(reason.Value, "0")} of camera B's picture has colours like those that were compared. Look at the others.",
            VerdictCause.ExposureWanders => $"Exposure wanders by {value} stops during the recording, which one correction cannot follow. Look at its brightest and darkest moments.",
            VerdictCause.LightnessByInstant => $"Exposure wanders: the picture is sometimes too light and sometimes too dark, typically by {value} L* (1 can just be seen; {Percent(reason.Other ?? 0, "0")} of what is left of lightness). One correction cannot follow that.",
            VerdictCause.LocalTones => $"{Capital(reason.What)} lightens or darkens parts of its picture by itself, typically by {value} L* (1 can just be seen; {Percent(reason.Other ?? 0, "0")} of what is left of lightness). No colour correction can remove that; look at the corners and the middle.",
            VerdictCause.Shading => $"The picture of {reason.What} is not evenly bright: after the correction its corners are still {Number(Math.Abs(reason.Value))} L* {(reason.Value >= 0 ? "darker" : "lighter")} than its middle. No colour correction can remove that; look at the corners.",
            VerdictCause.ChannelClipped => $"{Capital(reason.What)} is at the top of its range in {Percent(reason.Value, "0")} of the picture. Colours there are wrong, and no correction brings back what is lost; look at the brightest and strongest ones.",
            VerdictCause.FailsInParts => string.Create(CultureInfo.InvariantCulture, $"It does not hold over the whole recording: Delta E {reason.Value:0.0} at {reason.Other:0.0} s of camera A. Look there."),
            VerdictCause.SyncUnsure => $"The offset in time between the clips is only {Percent(reason.Value, "0")} certain. Check that movement and sound agree; to be sure, give --same-moment.",
            VerdictCause.UnsafeTable => $"Use the LUT with care: {reason.What}",
            VerdictCause.CloseChoice => string.Create(CultureInfo.InvariantCulture, $"A more flexible kind of correction ({reason.Against}) would leave {Math.Max(0, reason.Value):0.00} less, give or take {reason.Other:0.00}: too close to call, so the simpler one ({reason.What}) is used."),
            _ => throw new ArgumentOutOfRangeException(nameof(reason), reason.Cause, "This cause has no words."),
        };
    }

    /// <summary>The verdict's name for programs: use, look-first, do-not-use.</summary>
    public static string Name(VerdictKind kind) => Kebab(kind.ToString());

    /// <summary>The name for programs of what a figure was measured on: fitted-colours, unseen-colours, unseen-places.</summary>
    public static string Name(VerdictFigure figure) => Kebab(figure.ToString());

    /// <summary>A cause's name for programs: nothing-in-common, places-disagree, ...</summary>
    public static string Name(VerdictCause cause) => Kebab(cause.ToString());

    /// <summary>What a figure was measured on, as the end of a sentence.</summary>
    public static string On(VerdictFigure figure) => figure switch
    {
        VerdictFigure.UnseenPlaces => "on places it was not fitted to",
        VerdictFigure.UnseenColours => "on colours it was not fitted to",
        _ => "on the colours it was fitted to",
    };

    private static string Capital(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];

    private static string Kebab(string name) => JsonNamingPolicy.KebabCaseLower.ConvertName(name);

    private static string Number(double value) => value.ToString("0.0", CultureInfo.InvariantCulture);

    private static string Percent(double share, string format) => (100 * share).ToString(format, CultureInfo.InvariantCulture) + " %";
}
