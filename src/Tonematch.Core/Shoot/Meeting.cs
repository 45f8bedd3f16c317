using Tonematch.Sync;

namespace Tonematch.Shoot;

/// <summary>Two clips that recorded the same moment, with their alignment in time.</summary>
/// <param name="First">Index of a clip.</param>
/// <param name="Second">Index of another one.</param>
/// <param name="Sync">From the first's time to the second's. Its evidence names the overlap on the first's time line.</param>
public sealed record Meeting(int First, int Second, SyncFound Sync)
{
    /// <summary>
    /// The middle of the measured section on the first's time line, where the alignment is most accurate.
    /// </summary>
    public double MiddleSeconds => Sync.Evidence.OverlapStartSeconds + (Sync.Evidence.OverlapSeconds / 2);
}
