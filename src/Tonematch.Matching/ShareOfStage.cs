namespace Tonematch.Matching;

/// <summary>Passes on the progress of one stage, immediately and on the calling thread.</summary>
internal sealed class ShareOfStage(IProgress<StageProgress> to, string stage) : IProgress<double>
{
    /// <inheritdoc/>
    public void Report(double value) => to.Report(new(stage, value));
}
