using System.Diagnostics;
using Tonematch.Matching;

namespace Tonematch.Bench.Shoot;

/// <summary>Adds up the wall time of each stage, from one message of progress to the next.</summary>
internal sealed class StageClock : IProgress<StageProgress>
{
    private readonly Dictionary<string, (double Seconds, int Times)> _stages = [];
    private readonly Stopwatch _clock = Stopwatch.StartNew();
    private readonly Lock _lock = new();
    private string _now = "";

    /// <summary>The stages in order of their time, with how often each began.</summary>
    public IEnumerable<(string Stage, double Seconds, int Times)> Stages
    {
        get
        {
            Report(new("", 0));
            return _stages.Where(s => s.Key.Length > 0).OrderByDescending(s => s.Value.Seconds).Select(s => (s.Key, s.Value.Seconds, s.Value.Times));
        }
    }

    /// <inheritdoc/>
    public void Report(StageProgress value)
    {
        lock (_lock)
        {
            (double seconds, int times) = _stages.GetValueOrDefault(_now);
            _stages[_now] = (seconds + _clock.Elapsed.TotalSeconds, times + (value.Stage == _now ? 0 : 1));
            _clock.Restart();
            _now = value.Stage;
        }
    }
}
