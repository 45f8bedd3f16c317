using System.Globalization;
using Spectre.Console;
using Spectre.Console.Rendering;

namespace Tonematch.Cli;

/// <summary>The remaining time; empty if unknown, or if nothing is left to do.</summary>
internal sealed class TimeLeftColumn : ProgressColumn
{
    /// <inheritdoc/>
    public override IRenderable Render(RenderOptions options, ProgressTask task, TimeSpan deltaTime)
    {
        string left = task is { IsFinished: false, IsIndeterminate: false, RemainingTime: { } time } && time < TimeSpan.FromDays(1)
            ? time.ToString(time.TotalHours >= 1 ? @"h\:mm\:ss" : @"m\:ss", CultureInfo.InvariantCulture) + " left"
            : "";
        return new Text(left);
    }

    /// <inheritdoc/>
    public override int? GetColumnWidth(RenderOptions options) => 13;
}
