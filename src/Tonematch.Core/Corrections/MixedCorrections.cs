using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// Combines a flexible correction where it can be trusted with a stiff one elsewhere, as a lattice on top of the stiff
/// one.
/// </summary>
public static class MixedCorrections
{
    // Results outside the signal range all look the same, so how far two corrections leave it must not matter.
    private const double Beyond = 0.25;

    /// <summary>
    /// <paramref name="stiff"/> plus, at every node, the share <paramref name="trust"/> of the difference to <paramref name="rich"/>.
    /// </summary>
    /// <param name="rich">Code values of the primary from code values of the secondary.</param>
    /// <param name="stiff">The correction below.</param>
    /// <param name="trust">0..1 for each secondary colour; 1 takes the flexible correction fully.</param>
    /// <param name="nodes">Nodes per side, 2..129.</param>
    public static LatticeCorrection Of(Func<CodeRgb, CodeRgb> rich, Correction stiff, Func<CodeRgb, double> trust, int nodes)
    {
        ArgumentNullException.ThrowIfNull(rich);
        ArgumentNullException.ThrowIfNull(stiff);
        ArgumentNullException.ThrowIfNull(trust);
        float[] offsets = new float[3 * nodes * nodes * nodes];
        for (int i = 0; i < offsets.Length / 3; i++)
        {
            double At(int node) => node / (double)(nodes - 1);
            CodeRgb secondary = new(At(i % nodes), At(i / nodes % nodes), At(i / nodes / nodes));
            CodeRgb below = stiff.Apply(secondary), mixed = Mixed(rich(secondary), below, trust(secondary));
            offsets[3 * i] = (float)(mixed.R - below.R);
            offsets[(3 * i) + 1] = (float)(mixed.G - below.G);
            offsets[(3 * i) + 2] = (float)(mixed.B - below.B);
        }

        return new LatticeCorrection(stiff, nodes, [.. offsets]);
    }

    /// <summary>One colour of the mixture.</summary>
    internal static CodeRgb Mixed(CodeRgb rich, CodeRgb stiff, double trust)
    {
        double Channel(double from, double to)
        {
            double stiffly = Math.Clamp(from, -Beyond, 1 + Beyond), richly = Math.Clamp(to, -Beyond, 1 + Beyond);
            return stiffly + (trust * (richly - stiffly));
        }

        return new CodeRgb(Channel(stiff.R, rich.R), Channel(stiff.G, rich.G), Channel(stiff.B, rich.B));
    }
}
