using System.Text.Json;
using Tonematch.Matching;
using Tonematch.Media.Files;
using Tonematch.Workbench.Api;

namespace Tonematch.Workbench.Jobs;

/// <summary>The running jobs. A job outlives the page that started it, but not the program.</summary>
/// <param name="hub">Receives all events.</param>
/// <param name="plain">Removes paths of this machine from a sentence.</param>
/// <param name="stopping">Cancelled when the program ends.</param>
internal sealed class JobBoard(EventHub hub, Func<string, string> plain, CancellationToken stopping)
{
    private const int Kept = 20;

    private readonly Lock _lock = new();
    private readonly List<Entry> _jobs = [];
    private int _last;

    /// <summary>The latest jobs, oldest first.</summary>
    public IReadOnlyList<JobState> All
    {
        get
        {
            lock (_lock)
            {
                return [.. _jobs.Select(j => j.State)];
            }
        }
    }

    /// <summary>Starts a job; a running job of the same kind and subject is stopped first.</summary>
    /// <param name="kind">See <see cref="JobState.Kind"/>.</param>
    /// <param name="subject">What it is about.</param>
    /// <param name="work">Does the work; returns the final message.</param>
    public JobState Start(string kind, string subject, Func<IProgress<StageProgress>, CancellationToken, Task<string>> work)
    {
        Entry entry;
        Entry? before;
        lock (_lock)
        {
            before = _jobs.FindLast(j => j.State.Status == JobState.Running && j.State.Kind == kind && j.State.Subject == subject);
            entry = new Entry(new JobState(++_last, kind, subject, "", 0, JobState.Running, ""), CancellationTokenSource.CreateLinkedTokenSource(stopping));
            _jobs.Add(entry);
            _jobs.RemoveAll(j => j.State.Status != JobState.Running && j.State.Id <= _last - Kept);
        }

        before?.Stop.Cancel();
        Tell(entry.State);
        entry.Work = Task.Run(() => RunAsync(entry, before?.Work, work), CancellationToken.None);
        return entry.State;
    }

    /// <summary>Stops a job; its last event says so. False if there is no job with this number.</summary>
    public bool Cancel(int id)
    {
        lock (_lock)
        {
            Entry? entry = _jobs.Find(j => j.State.Id == id);
            entry?.Stop.Cancel();
            return entry is not null;
        }
    }

    /// <summary>Stops running jobs of a kind and subject, because something newer needs their resources.</summary>
    public void Cancel(string kind, string subject)
    {
        lock (_lock)
        {
            _jobs.FindAll(j => j.State.Status == JobState.Running && j.State.Kind == kind && j.State.Subject == subject).ForEach(j => j.Stop.Cancel());
        }
    }

    /// <summary>Waits for all running jobs after the program was asked to end.</summary>
    public Task WhenAllDoneAsync()
    {
        lock (_lock)
        {
            return Task.WhenAll(_jobs.Select(j => j.Work ?? Task.CompletedTask));
        }
    }

    private async Task RunAsync(Entry entry, Task? before, Func<IProgress<StageProgress>, CancellationToken, Task<string>> work)
    {
        try
        {
            if (before is not null)
            {
                await before;
            }

            entry.Stop.Token.ThrowIfCancellationRequested();
            string message = await work(new Reporter(this, entry), entry.Stop.Token);
            Set(entry, s => s with { Status = JobState.Done, Share = 1, Message = message });
        }
        catch (OperationCanceledException)
        {
            Set(entry, s => s with { Status = JobState.Cancelled, Message = "Stopped. Nothing half-finished was left behind." });
        }
        catch (Exception e) when (e is UnusableInputException or NoTrustworthyResultException)
        {
            Set(entry, s => s with { Status = JobState.Failed, Message = plain(e.Message) });
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            string why = FileFault.IsDiskFull(e) ? "The disk is full. Free some space and try again." : $"A file could not be read or written: {e.Message}";
            Set(entry, s => s with { Status = JobState.Failed, Message = plain($"{why} Your decisions are kept.") });
        }
#pragma warning disable CA1031 // A bug in a job must end in a sentence on the page, never in a page that waits for ever.
        catch (Exception e)
#pragma warning restore CA1031
        {
            Set(entry, s => s with { Status = JobState.Failed, Message = plain($"Tonematch stopped this because of an internal error ({e.GetType().Name}: {e.Message}). Your decisions are kept.") });
        }
    }

    private void Set(Entry entry, Func<JobState, JobState> change)
    {
        lock (_lock)
        {
            entry.State = change(entry.State);
        }

        Tell(entry.State);
    }

    private void Tell(JobState state) => hub.Tell("job", JsonSerializer.Serialize(state, ApiJson.Default.JobState));

    private sealed class Entry(JobState state, CancellationTokenSource stop)
    {
        public JobState State { get; set; } = state;

        public CancellationTokenSource Stop { get; } = stop;

        public Task? Work { get; set; }
    }

    private sealed class Reporter(JobBoard board, Entry entry) : IProgress<StageProgress>
    {
        public void Report(StageProgress value)
        {
            // The page shows only whole percents.
            if (value.Stage != entry.State.Stage || Math.Abs(value.Share - entry.State.Share) >= 0.01)
            {
                board.Set(entry, s => s with { Stage = value.Stage, Share = value.Share });
            }
        }
    }
}
