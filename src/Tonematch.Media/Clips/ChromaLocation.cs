namespace Tonematch.Media.Clips;

/// <summary>The position of a subsampled chroma sample among its luma samples (Rec. ITU-T H.273, figure 1).</summary>
public enum ChromaLocation
{
    /// <summary>On the left luma column, between two rows: the default of H.264 and H.265 (type 0).</summary>
    Left,

    /// <summary>In the middle of four: JPEG and MPEG-1 (type 1).</summary>
    Centre,

    /// <summary>On the top left luma sample: BT.2020 and BT.2100 4:2:0 (type 2).</summary>
    TopLeft,

    /// <summary>Between two columns on the upper row (type 3).</summary>
    Top,

    /// <summary>On the left luma column, on the lower row (type 4).</summary>
    BottomLeft,

    /// <summary>Between two columns, on the lower row (type 5).</summary>
    Bottom,
}
