namespace Tonematch.Samples.Charts;

/// <summary>Why a patch of a chart must not be used.</summary>
public enum PatchFault
{
    /// <summary>Too many of its pixels are at a limit of the recording.</summary>
    Clipped,

    /// <summary>It lies outside the picture.</summary>
    Outside,

    /// <summary>Something is in front of it: its colour is out of line with the others'.</summary>
    Hidden,

    /// <summary>It lies in a shadow.</summary>
    Shaded,

    /// <summary>Its pixels differ by more than noise: an edge, a reflection or texture.</summary>
    Uneven,
}
