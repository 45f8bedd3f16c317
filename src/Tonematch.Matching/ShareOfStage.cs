namespace Tonematch.Matching;

/// <summary>Passes on how far one stage is, at once and on the thread it comes from.</summary>
internal sealed class ShareOfStage(IProgress<StageProgress> to, string stage) : IProgress<double>
{
    /// <inheritdoc/>
    public void Report(double value) => to.Report(new(stage, value));
}
