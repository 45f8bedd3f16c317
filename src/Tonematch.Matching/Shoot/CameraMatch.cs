using System.Collections.Immutable;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;

namespace Tonematch.Matching.Shoot;

/// <summary>What was found for one camera of a shoot.</summary>
/// <param name="Camera">The camera.</param>
/// <param name="Outcome">Its match; null if nothing could be matched, and <paramref name="Note"/> says why.</param>
/// <param name="Lut">Makes its clips look like the first camera's; null without a match.</param>
/// <param name="PrimaryClip">Index of the clip it was matched to.</param>
/// <param name="SecondaryClip">Index of its own clip that was matched.</param>
/// <param name="Note">Remarks for the user, in sentences; may be empty.</param>
public sealed record CameraMatch(ShootCamera Camera, MatchOutcome? Outcome, Lut3D? Lut, int PrimaryClip, int SecondaryClip, string Note)
{
    /// <summary>
    /// The camera it was matched through because it shares no view with the first one; null if it does.
    /// </summary>
    public string? Through { get; init; }

    /// <summary>The lighting states that each need their own correction; null if one correction serves all.</summary>
    public CameraStates? States { get; init; }

    /// <summary>The drift of those of its clips that drift, by clip index.</summary>
    public ImmutableDictionary<int, DriftOutcome> Drifts { get; init; } = ImmutableDictionary<int, DriftOutcome>.Empty;
}
