using System.Collections.Immutable;

namespace Tonematch.Matching.Words;

/// <summary>How the secondary differs from the primary, in terms of camera settings, with sentences.</summary>
/// <param name="ExposureStops">Exposure of the secondary relative to the primary; negative is underexposed.</param>
/// <param name="White">Its white relative to the primary's.</param>
/// <param name="ContrastPercent">Its contrast relative to the primary's after exposure and white are equalised; null if the samples are too similar in lightness.</param>
/// <param name="BlackLift">L* by which its shadows (primary L* below 25) lie above the primary's, after exposure and white are equalised; null without such samples.</param>
/// <param name="SaturationPercent">Its saturation relative to the primary's, after exposure and white are equalised; null without saturated colours.</param>
/// <param name="Zones">Shadows, middle, highlights, neutrals, skin: those that hold samples.</param>
/// <param name="Stubborn">Colours that still differ, worst first.</param>
/// <param name="Summary">All of it in one or two sentences.</param>
/// <param name="OnTheCamera">What to set on the secondary next time, one sentence per setting; empty if nothing is worth changing.</param>
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
