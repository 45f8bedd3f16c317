using System.Diagnostics;
using Tonematch.Matching;

namespace Tonematch.Bench;

/// <summary>What a stage took, seconds: wall time, and processor time of this process and of FFmpeg.</summary>
internal readonly record struct StageCost(double Wall, double Own, double Children);

/// <summary>Times stages, from the begin of each, told on the pipeline's own thread, to that of the next.</summary>
/// <param name="ended">Told of each stage that ended.</param>
internal sealed class StageClock(Action<string, StageCost> ended) : IProgress<StageProgress>
{
    private string? _stage;
    private StageCost _began;

    /// <inheritdoc/>
    public void Report(StageProgress value)
    {
        if (value.Stage == _stage)
        {
            return;
        }

        StageCost now = new(Stopwatch.GetTimestamp() / (double)Stopwatch.Frequency, Environment.CpuUsage.TotalTime.TotalSeconds, ProcessorTime.OfChildren());
        if (_stage is not null)
        {
            ended(_stage, new(now.Wall - _began.Wall, now.Own - _began.Own, now.Children - _began.Children));
        }

        (_stage, _began) = (value.Stage, now);
    }

    /// <summary>Ends the last stage.</summary>
    public void End() => Report(new("end", 0));
}
