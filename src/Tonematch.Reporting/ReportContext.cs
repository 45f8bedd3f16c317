using System.Collections.Immutable;
using Tonematch.Media.Files;

namespace Tonematch.Reporting;

/// <summary>What the report says beyond the outcome of the match; all of it optional.</summary>
public sealed record ReportContext
{
    /// <summary>The command as it was given, for the section 'how it was computed'.</summary>
    public string? Command { get; init; }

    /// <summary>
    /// Whether the correction's files are written beside the report; false if the verdict forbade it.
    /// </summary>
    public bool IsHandedOver { get; init; } = true;

    /// <summary>A short clip (MP4, H.264) that cuts between A and the corrected B; empty when none was made.</summary>
    public ReadOnlyMemory<byte> CutTest { get; init; }

    /// <summary>
    /// Label and value of further properties: hashes (see <see cref="FileFingerprint"/>), program versions.
    /// </summary>
    public ImmutableArray<(string Label, string Value)> Facts { get; init; } = [];
}
