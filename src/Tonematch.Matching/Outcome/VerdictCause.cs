namespace Tonematch.Matching.Outcome;

/// <summary>What a verdict rests on, most serious first: reasons are listed in this order.</summary>
public enum VerdictCause
{
    /// <summary>Nothing was found that both cameras saw, so the pictures were compared as a whole.</summary>
    NothingInCommon,

    /// <summary>
    /// On data left out of the fit, the correction is no better than none. Value: with it; other: without.
    /// </summary>
    NoBetterThanNothing,

    /// <summary>No correction that was tried is better than none, and the cameras differ. Value: by how much.</summary>
    NothingHelps,

    /// <summary>The two pictures show the same things under different light. Value: the remaining difference.</summary>
    OtherLight,

    /// <summary>The remaining difference is a clearly different colour. Value: the remaining difference.</summary>
    AnotherColour,

    /// <summary>
    /// The remaining difference is visible, at least side by side, on most colours. Value: the remaining difference.
    /// </summary>
    Seen,

    /// <summary>The whole pictures were compared because the user asked for that.</summary>
    WholePicture,

    /// <summary>
    /// At one place the remaining difference is too large to cut with. What: that place; value: the difference there;
    /// against: the best place; other: the difference at the best place.
    /// </summary>
    PlacesDisagree,

    /// <summary>
    /// At one place the correction makes things worse. What: the place; value: with it; other: without.
    /// </summary>
    PlaceGetsWorse,

    /// <summary>
    /// All samples come from one board, and one picture is hazier there. Value: the haze, a share of white.
    /// </summary>
    VeiledBoard,

    /// <summary>Few objects were compared. Value: how many.</summary>
    FewSamples,

    /// <summary>Little of camera B's picture has colours near a sample. Value: the share that has, 0..1.</summary>
    LowCoverage,

    /// <summary>Exposure drifts. Value: by how many stops.</summary>
    ExposureWanders,

    /// <summary>
    /// The remaining lightness error depends on the instant. Value: its standard deviation, L*; other: its share of the
    /// variance, 0..1.
    /// </summary>
    LightnessByInstant,

    /// <summary>
    /// The remaining lightness error depends on the place in the picture, as with local tone mapping. What: whose
    /// picture; value: its standard deviation, L*; other: its share of the variance, 0..1.
    /// </summary>
    LocalTones,

    /// <summary>
    /// The remaining lightness error depends on the distance from the centre. What: whose picture; value: L* by which
    /// it is darker in the corners; other: the place's share of the variance, 0..1.
    /// </summary>
    Shading,

    /// <summary>
    /// A channel is at the top of its range. What: whose and which; value: share of the picture, 0..1.
    /// </summary>
    ChannelClipped,

    /// <summary>
    /// The match fails in parts of the recording. Value: the worst instant's mean; other: its time in the primary,
    /// seconds.
    /// </summary>
    FailsInParts,

    /// <summary>The time offset is not certain. Value: the confidence, 0..1.</summary>
    SyncUnsure,

    /// <summary>
    /// The table bands, folds or is too steep for some colours; mentioned, but no reason against the match. What: the
    /// finding.
    /// </summary>
    UnsafeTable,

    /// <summary>
    /// A more flexible kind was as good within the uncertainty; mentioned, but no reason against the match. What: the
    /// kind taken; against: the more flexible one; value: the difference; other: its uncertainty.
    /// </summary>
    CloseChoice,
}
