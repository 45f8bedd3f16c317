namespace Tonematch.Media.Frames;

/// <summary>A frame to be found: its time on the clip's time line and half the distance to its neighbours, seconds.</summary>
internal readonly record struct WantedFrame(double Seconds, double HalfGapBefore, double HalfGapAfter, bool IsKeyframe)
{
    public double Begin => Seconds - HalfGapBefore;

    public double End => Seconds + HalfGapAfter;
}

/// <summary>Frames near each other, decoded in one go, and what was taken of them so far.</summary>
/// <typeparam name="T">What is taken of a frame.</typeparam>
/// <param name="frames">In order of time.</param>
internal sealed class FrameGroup<T>(WantedFrame[] frames)
    where T : class
{
    public WantedFrame[] Frames { get; } = frames;

    /// <summary>One a frame; null where it was not found yet.</summary>
    public T?[] Taken { get; } = new T?[frames.Length];

    public bool IsComplete => !Taken.Contains(null);

    /// <summary>Number of the frame of that time that was not taken yet, or -1.</summary>
    public int Missing(double seconds)
    {
        int i = Array.FindIndex(Frames, w => seconds >= w.Begin && seconds < w.End);
        return i >= 0 && Taken[i] is null ? i : -1;
    }
}
