namespace Tonematch.Matching.Outcome;

/// <summary>One thing a verdict rests on.</summary>
/// <param name="Cause">What.</param>
/// <param name="Calls">The verdict that it calls for by itself.</param>
/// <param name="Value">How much, in the unit of its cause.</param>
public sealed record VerdictReason(VerdictCause Cause, VerdictKind Calls, double Value)
{
    /// <summary>What it is compared with, where the cause says so.</summary>
    public double? Other { get; init; }

    /// <summary>Which place, kind or finding, where the cause says so; empty otherwise.</summary>
    public string What { get; init; } = "";

    /// <summary>What <see cref="Other"/> was measured on, where the cause says so; empty otherwise.</summary>
    public string Against { get; init; } = "";
}
