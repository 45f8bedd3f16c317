using System.Collections.Immutable;

namespace Tonematch.Colour;

/// <summary>Zones of lightness in which differences are told apart. A convention of this project: quarters of L*.</summary>
public static class ToneZones
{
    private const double Dark = 25, Light = 75;

    /// <summary>From dark to light: what a zone is called, and whether it holds a colour.</summary>
    public static ImmutableArray<(string Name, Func<Lab, bool> Holds)> All { get; } =
    [
        ("shadows", lab => lab.L < Dark),
        ("middle", lab => lab.L is >= Dark and <= Light),
        ("highlights", lab => lab.L > Light),
    ];
}
