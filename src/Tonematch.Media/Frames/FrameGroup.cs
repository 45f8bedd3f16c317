namespace Tonematch.Media.Frames;

/// <summary>
/// A frame to find: its time on the clip's time line and half the distance to its neighbours, seconds.
/// </summary>
internal readonly record struct WantedFrame(double Seconds, double HalfGapBefore, double HalfGapAfter, bool IsKeyframe)
{
    public double Begin => Seconds - HalfGapBefore;

    public double End => Seconds + HalfGapAfter;
}

/// <summary>Neighbouring frames decoded together, and the results so far.</summary>
/// <typeparam name="T">The result per frame.</typeparam>
/// <param name="frames">In order of time.</param>
internal sealed class FrameGroup<T>(WantedFrame[] frames)
    where T : class
{
    public WantedFrame[] Frames { get; } = frames;

    /// <summary>One per frame; null if not found yet.</summary>
    public T?[] Taken { get; } = new T?[frames.Length];

    public bool IsComplete => !Taken.Contains(null);

    /// <summary>Index of the missing frame with that time, or -1.</summary>
    public int Missing(double seconds)
    {
        int i = Array.FindIndex(Frames, w => seconds >= w.Begin && seconds < w.End);
        return i >= 0 && Taken[i] is null ? i : -1;
    }
}
