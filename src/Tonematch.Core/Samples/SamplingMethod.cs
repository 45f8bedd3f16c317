namespace Tonematch.Samples;

/// <summary>How corresponding colours were found.</summary>
public enum SamplingMethod
{
    /// <summary>A colour chart in both pictures.</summary>
    Chart,

    /// <summary>The same objects seen by both cameras.</summary>
    Overlap,

    /// <summary>Regions named by the user.</summary>
    Regions,

    /// <summary>Whole-frame statistics without correspondences: low confidence.</summary>
    Overall,

    /// <summary>Read from a file of pairs.</summary>
    Given,
}
