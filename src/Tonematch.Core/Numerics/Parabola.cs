namespace Tonematch.Numerics;

/// <summary>The parabola through three neighbouring values.</summary>
internal static class Parabola
{
    /// <summary>
    /// Position of its vertex relative to the middle value, -0.5..0.5 steps; 0 if the middle is not a peak.
    /// </summary>
    public static double Vertex(double before, double middle, double after)
    {
        double bend = before - (2 * middle) + after;
        return bend < 0 ? Math.Clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0;
    }
}
