namespace Tonematch.Matching.Outcome;

/// <summary>What to do with a match.</summary>
public enum VerdictKind
{
    /// <summary>Use it.</summary>
    Use,

    /// <summary>Look at what the reasons name first.</summary>
    LookFirst,

    /// <summary>Do not use it.</summary>
    DoNotUse,
}
