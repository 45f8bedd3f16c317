using System.Collections.Immutable;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;

namespace Tonematch.Matching.Shoot;

/// <summary>What was found for one camera of a shoot.</summary>
/// <param name="Camera">The camera.</param>
/// <param name="Outcome">Its match, or null: nothing could be matched, and <paramref name="Note"/> says why.</param>
/// <param name="Lut">What its clips need to look like the first camera's; null without a match.</param>
/// <param name="PrimaryClip">Index of the clip it was matched to.</param>
/// <param name="SecondaryClip">Index of its own clip that was matched.</param>
/// <param name="Note">What should be known of it, in sentences; empty for nothing.</param>
public sealed record CameraMatch(ShootCamera Camera, MatchOutcome? Outcome, Lut3D? Lut, int PrimaryClip, int SecondaryClip, string Note)
{
    /// <summary>The camera it was matched through, since it shares no view with the first; null when it does.</summary>
    public string? Through { get; init; }

    /// <summary>The states of the light that need a correction each; null where one does for all.</summary>
    public CameraStates? States { get; init; }

    /// <summary>The courses of its clips that wander, by the clips' indices.</summary>
    public ImmutableDictionary<int, DriftOutcome> Drifts { get; init; } = ImmutableDictionary<int, DriftOutcome>.Empty;
}
