using System.Collections.Immutable;

namespace Tonematch.Drift;

/// <summary>The colours seen in common at one instant.</summary>
/// <param name="Seconds">Presentation time in the secondary.</param>
/// <param name="Samples">May be empty.</param>
public sealed record DriftInstant(double Seconds, ImmutableArray<DriftSample> Samples);
