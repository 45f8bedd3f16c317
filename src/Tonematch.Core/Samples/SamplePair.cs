using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>The colour of one object as each camera recorded it.</summary>
/// <param name="Id">Unique name within its set, e.g. 'patch-07@12.480'.</param>
/// <param name="Group">The group that cross-validation must not split: a patch, a region, a frame.</param>
/// <param name="Primary">Code values of the primary, in the primary's encoding.</param>
/// <param name="Secondary">Code values of the secondary, in the secondary's encoding.</param>
public sealed record SamplePair(string Id, string Group, CodeRgb Primary, CodeRgb Secondary)
{
    /// <summary>Relative weight in the fit, above 0; 1 unless density or doubt changes it.</summary>
    public double Weight { get; init; } = 1;

    /// <summary>
    /// The object, part of the picture and lighting state, as one name ('the chart', 'the lower left', 'the chart at
    /// 12.5 s'), within which the light and local effects of a camera are the same. Empty if unknown, or if there is
    /// nothing to distinguish. See <see cref="SampleLocality"/>.
    /// </summary>
    public string Locality { get; init; } = "";

    /// <summary>A display name ('light skin', 'apron'), or empty.</summary>
    public string Label { get; init; } = "";

    /// <summary>Standard deviation of the primary's code values within the sample, per channel; 0 if unknown.</summary>
    public CodeRgb PrimarySpread { get; init; }

    /// <summary>
    /// Standard deviation of the secondary's code values within the sample, per channel; 0 if unknown.
    /// </summary>
    public CodeRgb SecondarySpread { get; init; }

    /// <summary>Where it was measured; null for pairs read from a CSV.</summary>
    public SampleOrigin? Origin { get; init; }
}
