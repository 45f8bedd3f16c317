namespace Tonematch.Matching.Outcome;

/// <summary>What to do with a match.</summary>
public enum VerdictKind
{
    /// <summary>Use it.</summary>
    Use,

    /// <summary>Look first, at what the reasons name.</summary>
    LookFirst,

    /// <summary>Do not use it.</summary>
    DoNotUse,
}
