namespace Tonematch.Media.Clips;

/// <summary>Which code values are black and white.</summary>
public enum SignalRange
{
    /// <summary>Limited ('video', narrow): in 8 bits black is 16 and white 235, chroma 16..240.</summary>
    Limited,

    /// <summary>Full ('PC'): black is 0 and white the largest code.</summary>
    Full,
}
