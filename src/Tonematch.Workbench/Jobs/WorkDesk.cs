using System.Text.Json;
using Tonematch.Workbench.Api;
using Tonematch.Workbench.Files;
using Tonematch.Workbench.Session;

namespace Tonematch.Workbench.Jobs;

/// <summary>
/// The person's decisions and the matches that result from them. Decisions are saved at once; after a change that only
/// concerns the fit, the fit is repeated in the background immediately, and the whole result a moment later.
/// </summary>
internal sealed class WorkDesk : IDisposable
{
    private static readonly TimeSpan s_quiet = TimeSpan.FromSeconds(1.2);

    private readonly ClipShelf _shelf;
    private readonly EventHub _hub;
    private readonly JobBoard _jobs;
    private readonly string _sessionPath;
    private readonly CancellationToken _stopping;
    private readonly Lock _lock = new();
    private readonly Lock _saving = new();
    private readonly Dictionary<string, MatchWork> _works = new(StringComparer.Ordinal);
    private readonly Dictionary<string, CancellationTokenSource> _refits = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (long Version, string Problem)> _fits = new(StringComparer.Ordinal);

    // Decisions of an earlier session about clips in folders that this page may not open; kept unchanged.
    private readonly (string? Primary, SessionMatch[] Secondaries) _elsewhere;
    private WorkbenchSession _session;
    private long _saved = -1;
    private long _lutVersion;

    /// <summary>Continues the session in the folder of results, if there is one.</summary>
    public WorkDesk(ClipShelf shelf, EventHub hub, JobBoard jobs, string outFolder, CancellationToken stopping)
    {
        (_shelf, _hub, _jobs, _stopping) = (shelf, hub, jobs, stopping);
        _sessionPath = Path.Combine(outFolder, WorkbenchSession.FileName);
        _session = new WorkbenchSession();
        _elsewhere = (null, []);
        if (File.Exists(_sessionPath))
        {
            try
            {
                WorkbenchSession read = SessionFile.Read(_sessionPath);
                bool IsHere(string clip) => shelf.IdOf(clip) is not null;
                _elsewhere = (read.Primary is { } p && !IsHere(p) ? p : null, [.. read.Secondaries.Where(m => !IsHere(m.Clip))]);
                _session = read with { Primary = _elsewhere.Primary is null ? read.Primary : null, Secondaries = [.. read.Secondaries.Where(m => IsHere(m.Clip))] };
                if (_elsewhere.Primary is not null || _elsewhere.Secondaries.Length > 0)
                {
                    Trouble = "The session in this folder of results also names clips in folders that were not opened. The decisions about them are kept; open their folders too to continue with them.";
                }
            }
            catch (UnusableInputException e)
            {
                // Kept under another name, so that no decision is overwritten.
                string aside = _sessionPath + ".unreadable";
                File.Copy(_sessionPath, aside, overwrite: true);
                Trouble = $"The session could not be read and was put aside as {Path.GetFileName(aside)}: {ClipShelf.WithoutPath(e.Message, _sessionPath)}";
            }
        }
    }

    /// <summary>Increases with every change.</summary>
    public long Version { get; private set; }

    /// <summary>What went wrong with the session, as a sentence; empty if nothing did.</summary>
    public string Trouble { get; private set; } = "";

    /// <summary>The decisions.</summary>
    public WorkbenchSession Session
    {
        get
        {
            lock (_lock)
            {
                return _session;
            }
        }
    }

    /// <summary>The decisions with their version.</summary>
    public (long Version, WorkbenchSession Session) Now
    {
        get
        {
            lock (_lock)
            {
                return (Version, _session);
            }
        }
    }

    /// <summary>The work on a clip of camera B.</summary>
    public MatchWork WorkOf(string path)
    {
        lock (_lock)
        {
            return _works.TryGetValue(path, out MatchWork? work) ? work : _works[path] = new MatchWork();
        }
    }

    /// <summary>Version of a clip's latest table, and what prevented the latest fit.</summary>
    public (long Version, string Problem) FitOf(string path)
    {
        lock (_lock)
        {
            return _fits.GetValueOrDefault(path, (0, ""));
        }
    }

    /// <summary>The task of a clip as decided; null if it is not a clip of camera B.</summary>
    public MatchTask? TaskOf(string path)
    {
        WorkbenchSession session = Session;
        return session.Primary is not null && session.Secondaries.FirstOrDefault(m => m.Clip == path) is { } match ? MatchTask.Of(session, match) : null;
    }

    /// <summary>Accepts new decisions; false if another page made decisions in the meantime.</summary>
    /// <param name="version">The version they are based on.</param>
    /// <param name="session">The decisions.</param>
    /// <param name="draft">A slider is still moving: fit, but do not save yet.</param>
    /// <exception cref="UnusableInputException">They cannot be used.</exception>
    public bool Decide(long version, WorkbenchSession session, bool draft)
    {
        // Any fault is reported before the decisions are accepted.
        MatchTask[] tasks = session.Primary is null ? [] : [.. session.Secondaries.Select(m => MatchTask.Of(session, m))];
        long mine;
        lock (_lock)
        {
            if (version != Version)
            {
                return false;
            }

            _session = session;
            mine = ++Version;
        }

        if (!draft)
        {
            Save(mine, session);
        }

        _hub.Tell("state", mine.ToString(System.Globalization.CultureInfo.InvariantCulture));
        foreach (MatchTask task in tasks)
        {
            MatchWork work = WorkOf(task.Request.Secondary.Path);
            if (work.SampledWith == task.SamplingKey && work.Latest?.Task.Key != task.Key)
            {
                Refit(task, work, finish: !draft);
            }
        }

        return true;
    }

    /// <summary>
    /// Starts the match of every clip of camera B that has none, or whose decisions need the clips to be analysed
    /// again.
    /// </summary>
    public void StartMatches()
    {
        WorkbenchSession session = Session;
        foreach (SessionMatch match in session.Secondaries)
        {
            MatchTask task = MatchTask.Of(session, match);
            MatchWork work = WorkOf(match.Clip);
            if (work.SampledWith != task.SamplingKey)
            {
                Match(task, work);
            }
        }
    }

    /// <summary>Restarts the match of one clip.</summary>
    public void StartMatch(string path)
    {
        if (TaskOf(path) is { } task)
        {
            Match(task, WorkOf(path));
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        foreach (MatchWork work in _works.Values)
        {
            work.Dispose();
        }
    }

    private void Match(MatchTask task, MatchWork work)
    {
        string path = task.Request.Secondary.Path, id = _shelf.IdOf(path) ?? "";
        _jobs.Start("match", id, async (progress, cancel) =>
        {
            await work.MatchAsync(task, progress, cancel);
            Fitted(path, "");
            await FinishAsync(path, work, progress, cancel);
            return "Matched.";
        });
    }

    private void Refit(MatchTask task, MatchWork work, bool finish)
    {
        string path = task.Request.Secondary.Path;
        CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(_stopping);
        lock (_lock)
        {
            // The newest decision wins; a fit for an older one is useless.
            _refits.GetValueOrDefault(path)?.Cancel();
            _refits[path] = stop;
        }

        // A check over time of the previous correction would keep this one waiting.
        _jobs.Cancel("check", _shelf.IdOf(path) ?? "");
        _ = Task.Run(
            async () =>
            {
                try
                {
                    await work.RefitAsync(task, stop.Token);
                    Fitted(path, "");
                    if (finish)
                    {
                        await Task.Delay(s_quiet, stop.Token);
                        _jobs.Start("check", _shelf.IdOf(path) ?? "", async (progress, cancel) =>
                        {
                            await FinishAsync(path, work, progress, cancel);
                            return "";
                        });
                    }
                }
                catch (OperationCanceledException)
                {
                    // A newer decision came.
                }
                catch (Exception e) when (e is UnusableInputException or NoTrustworthyResultException)
                {
                    Fitted(path, e.Message);
                }
            },
            CancellationToken.None);
    }

    private async Task FinishAsync(string path, MatchWork work, IProgress<Matching.StageProgress> progress, CancellationToken cancel)
    {
        if (TaskOf(path) is { } task && work.SampledWith == task.SamplingKey)
        {
            await work.FinishAsync(task, progress, cancel);
            _hub.Tell("fit", JsonSerializer.Serialize(new ClipOrder(_shelf.IdOf(path) ?? ""), ApiJson.Default.ClipOrder));
        }
    }

    private void Fitted(string path, string problem)
    {
        lock (_lock)
        {
            _fits[path] = (problem.Length == 0 ? ++_lutVersion : _fits.GetValueOrDefault(path).Version, problem);
        }

        _hub.Tell("fit", JsonSerializer.Serialize(new ClipOrder(_shelf.IdOf(path) ?? ""), ApiJson.Default.ClipOrder));
    }

    private void Save(long version, WorkbenchSession session)
    {
        string trouble = "";
        lock (_saving)
        {
            // Of two windows' decisions the newer one is kept, whichever reaches the disk first.
            if (version < _saved)
            {
                return;
            }

            _saved = version;
            try
            {
                SessionFile.Write(_sessionPath, session with { Primary = session.Primary ?? _elsewhere.Primary, Secondaries = [.. session.Secondaries, .. _elsewhere.Secondaries] });
            }
            catch (UnusableInputException e)
            {
                trouble = $"Your decisions could not be saved yet: {ClipShelf.WithoutPath(e.Message, _sessionPath)} They are kept as long as the workbench runs, and saved with your next change.";
            }
        }

        if (trouble.Length > 0 || Trouble.Length > 0)
        {
            Trouble = trouble;
            _hub.Tell("trouble", JsonSerializer.Serialize(new SayMessage(trouble), ApiJson.Default.SayMessage));
        }
    }
}
