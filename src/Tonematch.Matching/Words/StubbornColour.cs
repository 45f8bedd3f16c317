namespace Tonematch.Matching.Words;

/// <summary>A colour that stays apart after the correction.</summary>
/// <param name="PairId">The pair.</param>
/// <param name="Name">Its label, or a name made from its CIELAB place ('deep blue').</param>
/// <param name="DeltaE">CIEDE2000 that is left.</param>
/// <param name="Reason">Why it stays.</param>
/// <param name="Why">The reason as part of a sentence.</param>
public sealed record StubbornColour(string PairId, string Name, double DeltaE, StubbornReason Reason, string Why);

/// <summary>Why a colour stays apart.</summary>
public enum StubbornReason
{
    /// <summary>A channel is at the limit of the signal in one of the cameras.</summary>
    Clipped,

    /// <summary>Nothing like it is among the other samples, so the fit rests on this one alone.</summary>
    Alone,

    /// <summary>Colours like it match, this one does not: the pair is probably not the same thing in both pictures.</summary>
    Mismatched,

    /// <summary>
    /// The two sensors see it differently under this light (metamerism): seen many times at several instants, left apart by every rich
    /// kind, while other things of its colour match.
    /// </summary>
    Metameric,

    /// <summary>Colours like it stay apart too, and the samples do not tell why.</summary>
    Unexplained,
}
