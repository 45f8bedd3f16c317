namespace Tonematch.Shoot;

/// <summary>A meeting that contradicts the others and was left out.</summary>
/// <param name="Meeting">Its index among those given.</param>
/// <param name="DisagreementSeconds">How far it lies from what the others say; NaN when it would make one device record twice at one time.</param>
/// <param name="Reason">One sentence.</param>
public sealed record RefusedMeeting(int Meeting, double DisagreementSeconds, string Reason);
