namespace Tonematch.States;

/// <summary>A stretch of time in one lighting state.</summary>
/// <param name="FromSeconds">Its start.</param>
/// <param name="ToSeconds">Its end, where the next one begins.</param>
/// <param name="State">Number of the state, from 0 in order of first appearance; a returning state keeps its number.</param>
public sealed record LightStretch(double FromSeconds, double ToSeconds, int State)
{
    /// <summary>How far a time lies outside, seconds; 0 inside.</summary>
    public double Distance(double seconds) => Math.Max(0, Math.Max(FromSeconds - seconds, seconds - ToSeconds));
}
