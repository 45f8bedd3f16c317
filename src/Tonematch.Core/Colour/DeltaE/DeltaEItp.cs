namespace Tonematch.Colour.DeltaE;

/// <summary>
/// The colour difference for high dynamic range, Delta E ITP ([BT.2124]): 1 is about the smallest difference visible
/// under the most critical conditions.
/// </summary>
public static class DeltaEItp
{
    /// <summary>The difference between two colours: 0 or more, symmetric. NaN in any channel gives NaN.</summary>
    /// <remarks>720 sqrt(dI^2 + dT^2 + dP^2) with T = Ct / 2 and P = Cp, both colours in the PQ form of ICtCp.</remarks>
    public static double Between(ICtCp first, ICtCp second)
    {
        double i = second.I - first.I, t = 0.5 * (second.Ct - first.Ct), p = second.Cp - first.Cp;
        return 720 * Math.Sqrt((i * i) + (t * t) + (p * p));
    }
}
