namespace Tonematch.Luts.Tables;

/// <summary>The properties of a table that are checked.</summary>
public enum LutProperty
{
    /// <summary>How far a channel decreases along the grey scale.</summary>
    BackwardNeutrals,

    /// <summary>How much differences and noise are amplified.</summary>
    LocalGain,

    /// <summary>How much the slope changes from cell to cell.</summary>
    SlopeChange,

    /// <summary>Share of colours that leave the range.</summary>
    ClippedShare,

    /// <summary>Share of colours where the mapping folds over (reverses orientation).</summary>
    FoldedShare,

    /// <summary>Mean difference from the exact correction.</summary>
    MeanBakingError,

    /// <summary>Largest difference from the exact correction.</summary>
    LargestBakingError,
}
