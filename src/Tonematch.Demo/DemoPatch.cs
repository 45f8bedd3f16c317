using Tonematch.Colour;

namespace Tonematch.Demo;

/// <summary>One patch of the demo's chart as it was drawn.</summary>
/// <param name="Name">The patch's usual name, e.g. 'dark skin'.</param>
/// <param name="Primary">Noise-free BT.709 code values of its centre in the primary's clip.</param>
/// <param name="Secondary">Noise-free BT.709 code values of its centre in the secondary's clip.</param>
/// <param name="PrimaryCentre">Its centre in the primary's picture, pixels.</param>
/// <param name="SecondaryCentre">Its centre in the secondary's picture, pixels.</param>
public sealed record DemoPatch(
    string Name, CodeRgb Primary, CodeRgb Secondary, (double X, double Y) PrimaryCentre, (double X, double Y) SecondaryCentre);
