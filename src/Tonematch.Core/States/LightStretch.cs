namespace Tonematch.States;

/// <summary>A stretch of time in one state of the light.</summary>
/// <param name="FromSeconds">Where it begins.</param>
/// <param name="ToSeconds">Where it ends: where the next one begins.</param>
/// <param name="State">Number of the state, from 0 in the order in which they first come; one that returns keeps its number.</param>
public sealed record LightStretch(double FromSeconds, double ToSeconds, int State)
{
    /// <summary>How far a time lies outside, seconds; 0 inside.</summary>
    public double Distance(double seconds) => Math.Max(0, Math.Max(FromSeconds - seconds, seconds - ToSeconds));
}
