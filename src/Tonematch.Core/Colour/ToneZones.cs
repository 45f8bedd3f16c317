using System.Collections.Immutable;

namespace Tonematch.Colour;

/// <summary>Zones of lightness for reporting differences. A convention of this project, by quarters of L*.</summary>
public static class ToneZones
{
    private const double Dark = 25, Light = 75;

    /// <summary>From dark to light: the name of a zone, and a test whether it holds a colour.</summary>
    public static ImmutableArray<(string Name, Func<Lab, bool> Holds)> All { get; } =
    [
        ("shadows", lab => lab.L < Dark),
        ("middle", lab => lab.L is >= Dark and <= Light),
        ("highlights", lab => lab.L > Light),
    ];
}
