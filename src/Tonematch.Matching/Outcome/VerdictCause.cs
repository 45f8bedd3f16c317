namespace Tonematch.Matching.Outcome;

/// <summary>What a verdict rests on, the gravest first: reasons are listed in this order.</summary>
public enum VerdictCause
{
    /// <summary>Nothing was found that both cameras saw: the pictures were compared as a whole.</summary>
    NothingInCommon,

    /// <summary>On what it was not fitted to, the correction is no better than none. Value: with it; other: without.</summary>
    NoBetterThanNothing,

    /// <summary>No correction that was tried is better than none, and the cameras are apart. Value: by how much.</summary>
    NothingHelps,

    /// <summary>The two pictures show the same things under different light. Value: what is left.</summary>
    OtherLight,

    /// <summary>What is left is another colour. Value: what is left.</summary>
    AnotherColour,

    /// <summary>What is left is seen, at least side by side, on most colours. Value: what is left.</summary>
    Seen,

    /// <summary>The whole pictures were compared because the user asked for that.</summary>
    WholePicture,

    /// <summary>On one place more is left than can be cut with. What: the place; value: there; against: the best place; other: there.</summary>
    PlacesDisagree,

    /// <summary>On one place the correction makes it worse. What: the place; value: with it; other: without.</summary>
    PlaceGetsWorse,

    /// <summary>All samples are of one board, and over it one picture is hazier. Value: the haze, a share of white.</summary>
    VeiledBoard,

    /// <summary>Few things were compared. Value: how many.</summary>
    FewSamples,

    /// <summary>Little of camera B's picture has a colour near a sample. Value: the share that has, 0..1.</summary>
    LowCoverage,

    /// <summary>Exposure wanders. Value: by how many stops.</summary>
    ExposureWanders,

    /// <summary>What is left of lightness goes with the instant. Value: its standard deviation, L*; other: its share of the variance, 0..1.</summary>
    LightnessByInstant,

    /// <summary>What is left of lightness goes with the place, as under local tone mapping. What: whose picture; value: its standard deviation, L*; other: its share of the variance, 0..1.</summary>
    LocalTones,

    /// <summary>It goes with the distance from the middle. What: whose picture; value: L* by which it is darker in the corners; other: the place's share of the variance, 0..1.</summary>
    Shading,

    /// <summary>A channel is at the top of its range. What: whose and which; value: in what share of the picture, 0..1.</summary>
    ChannelClipped,

    /// <summary>Over the recording the match fails in parts. Value: the worst instant's mean; other: its time in the primary, seconds.</summary>
    FailsInParts,

    /// <summary>How the clips lie in time is not sure. Value: the confidence, 0..1.</summary>
    SyncUnsure,

    /// <summary>The table bands, folds or is steep in some colours; said, and no reason against the match. What: the finding.</summary>
    UnsafeTable,

    /// <summary>A richer kind was as good within the uncertainty; said, and no reason against the match. What: the kind taken; against: the richer one; value: the difference; other: its uncertainty.</summary>
    CloseChoice,
}
