namespace Tonematch.Workbench.Jobs;

/// <summary>A job as a page sees it.</summary>
/// <param name="Id">Its number.</param>
/// <param name="Kind">'match', 'check', 'hand-over' or 'preview'.</param>
/// <param name="Subject">What it is about: a clip's id, or empty.</param>
/// <param name="Stage">What is being done, for people.</param>
/// <param name="Share">0..1 of this stage; 0 if unknown.</param>
/// <param name="Status">'running', 'done', 'failed' or 'cancelled'.</param>
/// <param name="Message">The result or the reason for failure; empty while it runs.</param>
internal sealed record JobState(int Id, string Kind, string Subject, string Stage, double Share, string Status, string Message)
{
    public const string Running = "running", Done = "done", Failed = "failed", Cancelled = "cancelled";
}
