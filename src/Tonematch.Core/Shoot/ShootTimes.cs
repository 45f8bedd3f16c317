using System.Collections.Immutable;

namespace Tonematch.Shoot;

/// <summary>All clips of all cameras on one clock.</summary>
/// <param name="Clips">In the order given.</param>
/// <param name="Clocks">One for each device, the first camera's first.</param>
/// <param name="Refused">Meetings that contradict the others.</param>
/// <param name="LoopErrorSeconds">
/// For every meeting that closes a loop and agrees, its distance from the result of the others: the overall check.
/// </param>
public sealed record ShootTimes(
    ImmutableArray<PlacedClip> Clips, ImmutableArray<DeviceClock> Clocks, ImmutableArray<RefusedMeeting> Refused, ImmutableArray<double> LoopErrorSeconds);
