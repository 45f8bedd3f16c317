namespace Tonematch.Colour.DeltaE;

/// <summary>
/// From which CIEDE2000 on a difference is seen, shows in a cut, or is another colour: the one scale by which the program
/// judges and speaks.
/// </summary>
/// <remarks>Common practice: 1 is about the smallest difference visible side by side; 2 still cuts well.</remarks>
public static class DeltaEScale
{
    /// <summary>Below this no difference is visible, even side by side.</summary>
    public const double NotSeen = 1;

    /// <summary>Below this no jump is visible in a cut.</summary>
    public const double CutsWell = 2;

    /// <summary>Below this it is visible side by side, hardly in a cut.</summary>
    public const double HardlySeenInACut = 4;

    /// <summary>From this on it is clearly another colour.</summary>
    public const double AnotherColour = 8;
}
