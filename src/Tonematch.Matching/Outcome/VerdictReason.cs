namespace Tonematch.Matching.Outcome;

/// <summary>One thing a verdict rests on.</summary>
/// <param name="Cause">What was found.</param>
/// <param name="Calls">The verdict it calls for on its own.</param>
/// <param name="Value">How much, in the unit of its cause.</param>
public sealed record VerdictReason(VerdictCause Cause, VerdictKind Calls, double Value)
{
    /// <summary>The figure it is compared with, if the cause has one.</summary>
    public double? Other { get; init; }

    /// <summary>The place, kind or finding, if the cause has one; empty otherwise.</summary>
    public string What { get; init; } = "";

    /// <summary>What <see cref="Other"/> was measured on, if the cause has one; empty otherwise.</summary>
    public string Against { get; init; } = "";
}
