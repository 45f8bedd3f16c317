namespace Tonematch.Shoot;

/// <summary>Two clips that may have recorded the same sound and are worth comparing sample by sample.</summary>
/// <param name="First">Index of a clip.</param>
/// <param name="Second">Index of a clip of another camera, above <paramref name="First"/>.</param>
/// <param name="OffsetSeconds">The second's time minus the first's at the same moment, to about 50 ms.</param>
/// <param name="FromSeconds">Start of the overlap on the first's time line.</param>
/// <param name="ToSeconds">Its end.</param>
/// <param name="Score">Height of the correlation over chance, in standard deviations.</param>
public sealed record LikelyMeeting(int First, int Second, double OffsetSeconds, double FromSeconds, double ToSeconds, double Score);
