using Tonematch.Matching;
using Tonematch.Media.Rendering;

namespace Tonematch.Cli.Commands;

/// <summary>Passes on rendering progress as stage progress.</summary>
internal sealed class RenderForwarder(IProgress<StageProgress> progress) : IProgress<RenderProgress>
{
    public void Report(RenderProgress value) => progress.Report(new("Rendering", value.Fraction));
}
