namespace Tonematch.Sync;

/// <summary>
/// Either <see cref="SyncFound"/> or <see cref="SyncRefused"/>: an offset exists only if it can be trusted.
/// </summary>
public abstract record SyncResult
{
    private protected SyncResult()
    {
    }
}
