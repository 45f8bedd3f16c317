using Tonematch.Sync;

namespace Tonematch.Matching.Reporting;

/// <summary>Both recordings' sound around one moment, on the primary's time line.</summary>
/// <param name="Primary">The primary's sound.</param>
/// <param name="Secondary">The secondary's sound, moved by the offset found.</param>
/// <param name="MomentSeconds">The moment, on the primary's time line.</param>
public sealed record ReportSound(MonoSound Primary, MonoSound Secondary, double MomentSeconds);
