namespace Tonematch.Formats.Cdl;

/// <summary>The three files of the ASC CDL.</summary>
public enum CdlFileKind
{
    /// <summary>.cc: one correction (ColorCorrection).</summary>
    Correction,

    /// <summary>.ccc: a collection of corrections (ColorCorrectionCollection).</summary>
    Collection,

    /// <summary>.cdl: a list of decisions, each with its correction (ColorDecisionList).</summary>
    DecisionList,
}
