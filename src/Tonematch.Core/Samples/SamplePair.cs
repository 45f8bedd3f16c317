using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>One thing's colour as each camera recorded it.</summary>
/// <param name="Id">Unique name within its set, e.g. 'patch-07@12.480'.</param>
/// <param name="Group">Keeps together what cross-validation must not split: a patch, a region, a frame.</param>
/// <param name="Primary">Code values of the primary, in the primary's encoding.</param>
/// <param name="Secondary">Code values of the secondary, in the secondary's encoding.</param>
public sealed record SamplePair(string Id, string Group, CodeRgb Primary, CodeRgb Secondary)
{
    /// <summary>Relative weight in the fit, above 0; 1 unless density or doubt says otherwise.</summary>
    public double Weight { get; init; } = 1;

    /// <summary>
    /// On which thing it lies, in which part of the picture, in which state of the light, as one name ('the chart', 'the lower
    /// left', 'the chart at 12.5 s'); the light and what a camera does to a part of its picture are alike within it. Empty: not
    /// known, or nothing to tell apart. See <see cref="SampleLocality"/>.
    /// </summary>
    public string Locality { get; init; } = "";

    /// <summary>A name for people ('light skin', 'apron'), or empty.</summary>
    public string Label { get; init; } = "";

    /// <summary>Standard deviation of the primary's code values within the sample, a channel; 0 if not known.</summary>
    public CodeRgb PrimarySpread { get; init; }

    /// <summary>Standard deviation of the secondary's code values within the sample, a channel; 0 if not known.</summary>
    public CodeRgb SecondarySpread { get; init; }

    /// <summary>Where it was measured, or null (pairs read from a CSV).</summary>
    public SampleOrigin? Origin { get; init; }
}
