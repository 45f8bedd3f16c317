namespace Tonematch.Sync;

/// <summary>No offset can be trusted.</summary>
/// <param name="Why">The kind of reason.</param>
/// <param name="Reason">One sentence on what was found.</param>
/// <param name="Advice">One sentence on what to film or give instead.</param>
/// <param name="Confidence">Confidence of the best guess, 0..1, below the limit; 0 without a guess.</param>
/// <param name="Evidence">The figures of the best guess.</param>
public sealed record SyncRefused(
    SyncRefusal Why, string Reason, string Advice, double Confidence, SyncEvidence Evidence) : SyncResult;
