namespace Tonematch.Media.Rendering;

/// <summary>Codecs for corrected clips.</summary>
public enum RenderCodec
{
    /// <summary>H.264 for 8-bit clips, H.265 for higher bit depths.</summary>
    Automatic,

    /// <summary>H.264: plays everywhere; 8 bit.</summary>
    H264,

    /// <summary>H.265: 8 or 10 bit.</summary>
    H265,

    /// <summary>ProRes 422 HQ, 10 bit: large, for further work; only in .mov.</summary>
    ProRes,
}
