namespace Tonematch.Shoot;

/// <summary>A meeting that contradicts the others and was left out.</summary>
/// <param name="Meeting">Its index among those given.</param>
/// <param name="DisagreementSeconds">Its distance from the result of the others; NaN if it would make one device record twice at one time.</param>
/// <param name="Reason">One sentence.</param>
public sealed record RefusedMeeting(int Meeting, double DisagreementSeconds, string Reason);
