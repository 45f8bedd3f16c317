namespace Tonematch.Fitting;

/// <summary>
/// Decides when a pair counts as a mismatch (not the same object in both pictures): one rule for fitting, choosing and
/// warning.
/// </summary>
public static class MismatchRule
{
    /// <summary>CIEDE2000 below which no pair is called a mismatch.</summary>
    public const double SmallestDeltaE = 6;

    private const double Medians = 6;

    /// <summary>The CIEDE2000 above which a pair is a mismatch.</summary>
    /// <param name="median">Median CIEDE2000 of all pairs after the correction, 0 or more.</param>
    public static double Limit(double median) => Math.Max(SmallestDeltaE, Medians * median);
}
