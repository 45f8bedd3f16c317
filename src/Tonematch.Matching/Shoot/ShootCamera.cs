using System.Collections.Immutable;
using Tonematch.Media.Clips;

namespace Tonematch.Matching.Shoot;

/// <summary>A camera with the clips that can be used.</summary>
/// <param name="Name">Unique within the shoot.</param>
/// <param name="Clips">At least one.</param>
public sealed record ShootCamera(string Name, ImmutableArray<ClipInfo> Clips)
{
    /// <summary>False for a recorder: it serves sync, and there is nothing to match.</summary>
    public bool HasPictures => Clips.Any(c => c.HasPictures);
}
