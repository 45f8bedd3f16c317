using System.Collections.Immutable;

namespace Tonematch.Reporting;

/// <summary>One clip's facts.</summary>
/// <param name="Name">Its file name (shown as it is; anything may stand in it).</param>
/// <param name="Facts">Label and value: size, rate, codec, colour tags, sound, ...</param>
public sealed record ReportClip(string Name, ImmutableArray<(string Label, string Value)> Facts)
{
    /// <summary>What was assumed because the file does not say it, in sentences.</summary>
    public ImmutableArray<string> Assumptions { get; init; } = [];
}
