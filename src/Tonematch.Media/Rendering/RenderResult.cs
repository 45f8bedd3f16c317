using System.Collections.Immutable;
using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>A clip that was written and read back.</summary>
/// <param name="Clip">The properties of the written file.</param>
/// <param name="Notes">Differences from the original, in sentences; empty if everything is kept.</param>
public sealed record RenderResult(ClipInfo Clip, ImmutableArray<string> Notes);
