using System.Collections.Immutable;

namespace Tonematch.Reporting;

/// <summary>The properties of one clip.</summary>
/// <param name="Name">Its file name (untrusted text).</param>
/// <param name="Facts">Label and value: size, rate, codec, colour tags, sound, ...</param>
public sealed record ReportClip(string Name, ImmutableArray<(string Label, string Value)> Facts)
{
    /// <summary>Assumptions made because the file does not state the facts, in sentences.</summary>
    public ImmutableArray<string> Assumptions { get; init; } = [];
}
