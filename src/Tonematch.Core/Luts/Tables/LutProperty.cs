namespace Tonematch.Luts.Tables;

/// <summary>What is looked at in a table.</summary>
public enum LutProperty
{
    /// <summary>How far a channel falls along the grey scale.</summary>
    BackwardNeutrals,

    /// <summary>How much differences and noise grow.</summary>
    LocalGain,

    /// <summary>How much the slope changes from cell to cell.</summary>
    SlopeChange,

    /// <summary>Share of colours that leave the range.</summary>
    ClippedShare,

    /// <summary>Share of colours that are turned inside out.</summary>
    FoldedShare,

    /// <summary>Mean difference from the exact correction.</summary>
    MeanBakingError,

    /// <summary>Largest difference from the exact correction.</summary>
    LargestBakingError,
}
