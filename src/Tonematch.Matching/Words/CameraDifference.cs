using System.Collections.Immutable;

namespace Tonematch.Matching.Words;

/// <summary>How the secondary differs from the primary, in the terms in which cameras are set, with sentences.</summary>
/// <param name="ExposureStops">Exposure of the secondary against the primary; below 0 is under.</param>
/// <param name="White">Its white against the primary's.</param>
/// <param name="ContrastPercent">Its contrast against the primary's after exposure and white are made equal; null when the samples are too alike in lightness.</param>
/// <param name="BlackLift">L* by which its shadows (primary L* below 25) lie above the primary's, after exposure and white are made equal; null without such samples.</param>
/// <param name="SaturationPercent">Its saturation against the primary's, after exposure and white are made equal; null without colours.</param>
/// <param name="Zones">Shadows, middle, highlights, neutrals, skin: those that hold samples.</param>
/// <param name="Stubborn">Colours that stay apart, the worst first.</param>
/// <param name="Summary">All of it in one or two sentences.</param>
/// <param name="OnTheCamera">What to set on the secondary next time, a sentence each; empty when nothing is worth setting.</param>
public sealed record CameraDifference(
    double ExposureStops,
    WhiteShift White,
    double? ContrastPercent,
    double? BlackLift,
    double? SaturationPercent,
    ImmutableArray<ZoneDifference> Zones,
    ImmutableArray<StubbornColour> Stubborn,
    string Summary,
    ImmutableArray<string> OnTheCamera);
