using Tonematch.Matching;
using Tonematch.Media.Rendering;

namespace Tonematch.Cli.Commands;

/// <summary>Shows a rendering's progress as that of a stage.</summary>
internal sealed class RenderForwarder(IProgress<StageProgress> progress) : IProgress<RenderProgress>
{
    public void Report(RenderProgress value) => progress.Report(new("Rendering", value.Fraction));
}
