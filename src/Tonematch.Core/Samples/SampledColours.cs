using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>The distance of any secondary colour from the nearest sample.</summary>
/// <remarks>
/// Distances are in CIELAB units of the secondary's displayed colours. They are looked up at the nearest node of a grid
/// with <see cref="Nodes"/> nodes per side over code values 0..1; half a cell is at most 4 units for light colours.
/// </remarks>
public sealed class SampledColours
{
    private const int Nodes = 33;

    // Larger distances make no difference.
    private const double Farthest = 200;

    private readonly double[] _distance;

    private SampledColours(double[] distance) => _distance = distance;

    /// <summary>
    /// Colours within this distance of a sample count as sampled, which covers an object's shades from light to shadow.
    /// </summary>
    public const double Near = 20;

    /// <summary>Measures the distances.</summary>
    /// <param name="samples">Corresponding colours; at least one.</param>
    public static SampledColours Of(SampleSet samples)
    {
        ArgumentNullException.ThrowIfNull(samples);
        SignalEncoding e = samples.SecondaryEncoding;

        // One per cell of 3 units, because thousands of samples mostly have the same few colours.
        ImmutableArray<Lab> colours = [.. samples.Pairs
            .Where(p => p.Secondary.IsFinite)
            .Select(p => e.ToLab(p.Secondary.Clamped()))
            .DistinctBy(l => ((int)Math.Round(l.L / 3), (int)Math.Round(l.A / 3), (int)Math.Round(l.B / 3)))];
        double[] distance = new double[Nodes * Nodes * Nodes];
        for (int i = 0; i < distance.Length; i++)
        {
            Lab at = e.ToLab(new CodeRgb(At(i % Nodes), At(i / Nodes % Nodes), At(i / Nodes / Nodes)));
            double nearest = Farthest * Farthest;
            foreach (Lab colour in colours)
            {
                double l = at.L - colour.L, a = at.A - colour.A, b = at.B - colour.B;
                nearest = Math.Min(nearest, (l * l) + (a * a) + (b * b));
            }

            distance[i] = Math.Sqrt(nearest);
        }

        return new SampledColours(distance);

        static double At(int node) => node / (double)(Nodes - 1);
    }

    /// <summary>Distance of the nearest sample from a secondary colour, CIELAB units.</summary>
    public double Distance(CodeRgb secondary)
    {
        static int Node(double code) => (int)Math.Round(Math.Clamp(code, 0, 1) * (Nodes - 1));
        return _distance[Node(secondary.R) + (Nodes * (Node(secondary.G) + (Nodes * Node(secondary.B))))];
    }

    /// <summary>Whether a sample is near.</summary>
    public bool Has(CodeRgb secondary) => Distance(secondary) <= Near;
}
