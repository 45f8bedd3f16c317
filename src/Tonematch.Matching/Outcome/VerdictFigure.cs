namespace Tonematch.Matching.Outcome;

/// <summary>The data on which a verdict's figure was measured, from the weakest evidence to the strongest.</summary>
public enum VerdictFigure
{
    /// <summary>On the colours the correction was fitted to: there were too few for anything else.</summary>
    FittedColours,

    /// <summary>On colours left out of the fit, of places that were in it.</summary>
    UnseenColours,

    /// <summary>On whole places left out of the fit.</summary>
    UnseenPlaces,
}
