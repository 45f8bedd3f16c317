using System.Globalization;
using Spectre.Console;
using Spectre.Console.Rendering;

namespace Tonematch.Cli;

/// <summary>The share done, in per cent; empty if unknown.</summary>
internal sealed class ShareColumn : ProgressColumn
{
    /// <inheritdoc/>
    public override IRenderable Render(RenderOptions options, ProgressTask task, TimeSpan deltaTime) =>
        new Text(task.IsIndeterminate ? "" : string.Create(CultureInfo.InvariantCulture, $"{task.Percentage:0} %")).RightJustified();

    /// <inheritdoc/>
    public override int? GetColumnWidth(RenderOptions options) => 5;
}
