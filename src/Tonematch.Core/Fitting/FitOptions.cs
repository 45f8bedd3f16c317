using System.Collections.Immutable;
using Tonematch.Corrections;

namespace Tonematch.Fitting;

/// <summary>What to fit, and how. The defaults are what the command line uses.</summary>
public sealed record FitOptions
{
    /// <summary>The defaults.</summary>
    public static FitOptions Default { get; } = new();

    /// <summary>The kinds to fit, or null for all of them. Doing nothing is always compared with them.</summary>
    public ImmutableArray<CorrectionKind>? Kinds { get; init; }

    /// <summary>The largest number of cross-validation folds, 2 or more; fewer if there are fewer groups.</summary>
    public int Folds { get; init; } = 12;

    /// <summary>Nodes per side of the lattice kind, 9..65.</summary>
    public int LatticeNodes { get; init; } = 33;

    /// <summary>
    /// Extra weight of pairs whose primary colour is neutral (C* below 5): a cast on whites and greys is noticed first.
    /// 1 is none.
    /// </summary>
    public double NeutralWeight { get; init; } = 1.5;

    /// <summary>
    /// Extra weight of pairs whose primary colour is in the skin region of CIELAB (<see cref="Colour.SkinTones"/>). 1 is none.
    /// </summary>
    public double SkinWeight { get; init; } = 1.5;
}
