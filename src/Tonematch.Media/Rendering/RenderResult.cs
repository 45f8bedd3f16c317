using System.Collections.Immutable;
using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>A clip that was written and read back.</summary>
/// <param name="Clip">What the written file is.</param>
/// <param name="Notes">What is not as in the original, in sentences; empty when everything is kept.</param>
public sealed record RenderResult(ClipInfo Clip, ImmutableArray<string> Notes);
