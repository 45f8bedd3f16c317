namespace Tonematch.Matching.Words;

/// <summary>A colour that still differs after the correction.</summary>
/// <param name="PairId">The pair.</param>
/// <param name="Name">Its label, or a name derived from its CIELAB values ('deep blue').</param>
/// <param name="DeltaE">Remaining CIEDE2000.</param>
/// <param name="Reason">Why it still differs.</param>
/// <param name="Why">The reason as part of a sentence.</param>
public sealed record StubbornColour(string PairId, string Name, double DeltaE, StubbornReason Reason, string Why);

/// <summary>Why a colour still differs.</summary>
public enum StubbornReason
{
    /// <summary>A channel is clipped in one of the cameras.</summary>
    Clipped,

    /// <summary>No other sample is similar, so the fit rests on this one alone.</summary>
    Alone,

    /// <summary>
    /// Similar colours match but this one does not: the pair is probably not the same object in both pictures.
    /// </summary>
    Mismatched,

    /// <summary>
    /// The two sensors see it differently under this light (metamerism): seen many times at several instants, not
    /// matched by any flexible kind, while other objects of its colour match.
    /// </summary>
    Metameric,

    /// <summary>Similar colours still differ too, and the samples do not show why.</summary>
    Unexplained,
}
