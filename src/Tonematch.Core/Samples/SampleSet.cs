using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>Corresponding colours of two cameras, with information about them.</summary>
/// <param name="PrimaryEncoding">What the primary's code values mean.</param>
/// <param name="SecondaryEncoding">What the secondary's code values mean.</param>
/// <param name="Method">How the pairs were found.</param>
/// <param name="Pairs">The usable pairs.</param>
public sealed record SampleSet(
    SignalEncoding PrimaryEncoding,
    SignalEncoding SecondaryEncoding,
    SamplingMethod Method,
    ImmutableArray<SamplePair> Pairs)
{
    /// <summary>Candidates that were left out, by reason ('clipped', 'edge', 'noisy', 'mismatched', ...).</summary>
    public ImmutableSortedDictionary<string, int> Rejected { get; init; } = ImmutableSortedDictionary<string, int>.Empty;

    /// <summary>
    /// CIEDE2000 between repeated measurements of the same thing by the same camera: smaller differences disappear in
    /// this footage's noise; null if it was not measured.
    /// </summary>
    public double? NoiseFloorDeltaE { get; init; }

    /// <summary>
    /// Whether the pairs contradict one another, as when the same things are seen under different light: one place by
    /// day and by night.
    /// </summary>
    public bool ShowsOtherLight { get; init; }

    /// <summary>
    /// Whether the primary's whole pictures look like a log profile (<see cref="LogLook"/>): its lifted black then
    /// comes from its curve, not from haze.
    /// </summary>
    public bool PrimaryLooksLog { get; init; }

    /// <summary>The same for the secondary.</summary>
    public bool SecondaryLooksLog { get; init; }

    /// <summary>
    /// Whether a camera's colours first went through an input LUT, which determines contrast, saturation and black.
    /// </summary>
    public bool IsBehindInput { get; init; }

    /// <summary>What the user should know about these samples, in sentences.</summary>
    public ImmutableArray<string> Warnings { get; init; } = [];

    /// <summary>
    /// Why these samples cannot support a correction, and what to film or give instead; null if they can.
    /// </summary>
    public string? Refusal { get; init; }
}
