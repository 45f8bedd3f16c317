using System.Collections.Immutable;
using Tonematch.Media.Clips;

namespace Tonematch.Matching.Shoot;

/// <summary>A camera with the clips that can be used.</summary>
/// <param name="Name">Unique within the shoot.</param>
/// <param name="Clips">At least one.</param>
public sealed record ShootCamera(string Name, ImmutableArray<ClipInfo> Clips);
