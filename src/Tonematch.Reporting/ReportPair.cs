using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Reporting;

/// <summary>The colour of one object in both cameras, before and after.</summary>
/// <param name="Id">Unique name.</param>
/// <param name="Label">Name for people; may be empty.</param>
/// <param name="Primary">Code values of the primary, in its encoding.</param>
/// <param name="Secondary">Code values of the secondary as recorded, in the secondary's encoding.</param>
/// <param name="Corrected">Code values after the correction, in the primary's encoding.</param>
/// <param name="DeltaEBefore">CIEDE2000 as recorded.</param>
/// <param name="DeltaEAfter">CIEDE2000 after the correction.</param>
/// <param name="Weight">Weight in the fit, above 0.</param>
/// <param name="Origin">Where it was measured, or null.</param>
public sealed record ReportPair(
    string Id,
    string Label,
    CodeRgb Primary,
    CodeRgb Secondary,
    CodeRgb Corrected,
    double DeltaEBefore,
    double DeltaEAfter,
    double Weight,
    SampleOrigin? Origin);
