using Tonematch.Colour.DeltaE;

namespace Tonematch.Matching.Words;

/// <summary>
/// What a CIEDE2000 difference looks like: the words for the steps of <see cref="DeltaEScale"/>, used on the terminal, in
/// reports, plots and the guide.
/// </summary>
public static class DeltaEWords
{
    /// <summary>How visible a mean CIEDE2000 is, in plain words.</summary>
    public static string Visible(double deltaE) => deltaE switch
    {
        < DeltaEScale.NotSeen => "not visible, even side by side",
        < DeltaEScale.CutsWell => "hard to see side by side",
        < DeltaEScale.HardlySeenInACut => "visible side by side, hardly in a cut",
        < DeltaEScale.AnotherColour => "visible in a cut",
        _ => "clearly another colour",
    };
}
