using System.Collections.Immutable;
using Tonematch.Media.Clips;

namespace Tonematch.Matching.Shoot;

/// <summary>A camera with its usable clips.</summary>
/// <param name="Name">Unique within the shoot.</param>
/// <param name="Clips">At least one.</param>
public sealed record ShootCamera(string Name, ImmutableArray<ClipInfo> Clips)
{
    /// <summary>False for a sound recorder: it serves sync only, and there is nothing to match.</summary>
    public bool HasPictures => Clips.Any(c => c.HasPictures);
}
