using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>Where in the space of the secondary's colours something is known.</summary>
/// <remarks>
/// Distances are CIELAB units of what is seen of the secondary. They are looked up in a grid of <see cref="Nodes"/> a side over
/// code values 0..1, the nearest node for each colour: half a cell is 4 units at most where colours are light.
/// </remarks>
public sealed class SampledColours
{
    private const int Nodes = 33;

    // Farther is as good as nowhere near.
    private const double Farthest = 200;

    private readonly double[] _distance;

    private SampledColours(double[] distance) => _distance = distance;

    /// <summary>Colours within this distance of a sample count as sampled: an object's shades from light to shadow.</summary>
    public const double Near = 20;

    /// <summary>Measures the distances.</summary>
    /// <param name="samples">Corresponding colours; at least one.</param>
    public static SampledColours Of(SampleSet samples)
    {
        ArgumentNullException.ThrowIfNull(samples);
        SignalEncoding e = samples.SecondaryEncoding;

        // One for each cell of 3 units: thousands of samples are mostly of the same few colours.
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

    /// <summary>How far the nearest sample is from a secondary colour, CIELAB units.</summary>
    public double Distance(CodeRgb secondary)
    {
        static int Node(double code) => (int)Math.Round(Math.Clamp(code, 0, 1) * (Nodes - 1));
        return _distance[Node(secondary.R) + (Nodes * (Node(secondary.G) + (Nodes * Node(secondary.B))))];
    }

    /// <summary>Whether a sample is near.</summary>
    public bool Has(CodeRgb secondary) => Distance(secondary) <= Near;
}
