using System.Diagnostics.CodeAnalysis;

namespace Tonematch.Corrections;

/// <summary>The kinds' names on the command line and in files.</summary>
public static class CorrectionKinds
{
    private static readonly (CorrectionKind Kind, string Name)[] s_names =
    [
        (CorrectionKind.Identity, "identity"),
        (CorrectionKind.Gains, "gains"),
        (CorrectionKind.LiftGammaGain, "lift-gamma-gain"),
        (CorrectionKind.Cdl, "cdl"),
        (CorrectionKind.Matrix, "matrix"),
        (CorrectionKind.CurvesMatrix, "curves-matrix"),
        (CorrectionKind.RootPolynomial, "root-polynomial"),
        (CorrectionKind.Lattice, "lattice"),
    ];

    /// <summary>Every kind that can be requested, from simple to flexible.</summary>
    public static IReadOnlyList<CorrectionKind> All { get; } = [.. s_names.Select(n => n.Kind).Skip(1)];

    /// <summary>The name as on the command line, e.g. 'lift-gamma-gain'.</summary>
    public static string Name(this CorrectionKind kind) => s_names.First(n => n.Kind == kind).Name;

    /// <summary>Finds a kind by its name.</summary>
    public static bool TryParse(string? name, [NotNullWhen(true)] out CorrectionKind? kind)
    {
        kind = null;
        foreach ((CorrectionKind k, string n) in s_names)
        {
            if (string.Equals(n, name, StringComparison.OrdinalIgnoreCase))
            {
                kind = k;
            }
        }

        return kind is not null;
    }
}
