namespace Tonematch.Samples.Charts;

/// <summary>Why a chart patch must not be used.</summary>
public enum PatchFault
{
    /// <summary>Too many of its pixels are clipped.</summary>
    Clipped,

    /// <summary>It lies outside the picture.</summary>
    Outside,

    /// <summary>Something is in front of it: its colour does not agree with the others.</summary>
    Hidden,

    /// <summary>It lies in a shadow.</summary>
    Shaded,

    /// <summary>Its pixels vary by more than noise: an edge, a reflection or texture.</summary>
    Uneven,
}
