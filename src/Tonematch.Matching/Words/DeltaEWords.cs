namespace Tonematch.Matching.Words;

/// <summary>
/// What a CIEDE2000 difference looks like: the one scale of words for it, used on the terminal, in reports, plots and
/// the guide.
/// </summary>
/// <remarks>Common practice: 1 is about the smallest difference visible side by side; 2 still cuts well.</remarks>
public static class DeltaEWords
{
    /// <summary>Below this no difference is visible, even side by side.</summary>
    public const double NotSeen = 1;

    /// <summary>Below this no jump is visible in a cut.</summary>
    public const double CutsWell = 2;

    /// <summary>Below this it is visible side by side, hardly in a cut.</summary>
    public const double HardlySeenInACut = 4;

    /// <summary>Above this it is a clearly different colour.</summary>
    public const double AnotherColour = 8;

    /// <summary>How visible a mean CIEDE2000 is, in plain words.</summary>
    public static string Visible(double deltaE) => deltaE switch
    {
        < NotSeen => "not visible, even side by side",
        < CutsWell => "hard to see side by side",
        < HardlySeenInACut => "visible side by side, hardly in a cut",
        < AnotherColour => "visible in a cut",
        _ => "clearly another colour",
    };
}
