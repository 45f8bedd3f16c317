using System.Collections.Immutable;

namespace Tonematch.Exports.Rendering;

/// <summary>
/// A self-contained job to render one clip: any machine with access to the files can run it, in any order and
/// repeatedly.
/// </summary>
/// <param name="Clip">Absolute path of the clip.</param>
/// <param name="Correction">Absolute path of the correction; null for a clip of the first camera, which needs none.</param>
/// <param name="Out">Absolute path of the result.</param>
public sealed record RenderJob(string Clip, string? Correction, string Out)
{
    /// <summary>Absolute path of the drift of exposure and white balance, or null.</summary>
    public string? Drift { get; init; }

    /// <summary>
    /// Corrections that replace the single one, each from its time on; empty if one serves the whole clip.
    /// </summary>
    public ImmutableArray<RenderState> States { get; init; } = [];

    /// <summary>The clip's place on the timeline; null keeps its own time.</summary>
    public RenderPlace? Aligned { get; init; }

    /// <summary>The timeline's rate as a ratio ('30000/1001'); null without <see cref="Aligned"/>.</summary>
    public string? FrameRate { get; init; }

    /// <summary>The timeline's length in frames; 0 without <see cref="Aligned"/>.</summary>
    public long Frames { get; init; }

    /// <summary>Clips whose sound becomes the first track.</summary>
    public ImmutableArray<RenderPlace> SoundFrom { get; init; } = [];

    /// <summary>The command that runs this job.</summary>
    public string Command { get; init; } = "";

    /// <summary>Estimated time on two cores, seconds.</summary>
    public double ExpectedSeconds { get; init; }

    /// <summary>The file that records that the job is done, and from which inputs.</summary>
    public string DoneMarker => Out + ".done";
}
