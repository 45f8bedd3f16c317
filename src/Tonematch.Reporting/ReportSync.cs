using System.Collections.Immutable;
using Tonematch.Sync.Sound;

namespace Tonematch.Reporting;

/// <summary>How the clips are aligned in time, and the evidence for it.</summary>
/// <param name="Sentence">The result in words.</param>
/// <param name="Figures">Label and value: offset, drift, confidence, ...</param>
public sealed record ReportSync(string Sentence, ImmutableArray<(string Label, string Value)> Figures)
{
    /// <summary>Both sounds around a clear moment, or null.</summary>
    public ClearMoment? Sound { get; init; }

    /// <summary>The frames of that moment, or null.</summary>
    public ReportFrame? Frame { get; init; }
}
