using System.Collections.Immutable;

namespace Tonematch.Exports.Rendering;

/// <summary>One clip to be rendered, complete in itself: any machine that sees the files can do it, in any order, again and again.</summary>
/// <param name="Clip">Absolute path of the clip.</param>
/// <param name="Correction">Absolute path of the correction.</param>
/// <param name="Out">Absolute path of the result.</param>
public sealed record RenderJob(string Clip, string Correction, string Out)
{
    /// <summary>Absolute path of the course of exposure and white balance, or null.</summary>
    public string? Drift { get; init; }

    /// <summary>Corrections in place of the one, each from its time on; none: one for the whole clip.</summary>
    public ImmutableArray<RenderState> States { get; init; } = [];

    /// <summary>Where the clip lies on the timeline, or null: it keeps its own time.</summary>
    public RenderPlace? Aligned { get; init; }

    /// <summary>The timeline's rate as a ratio ('30000/1001'); null without <see cref="Aligned"/>.</summary>
    public string? FrameRate { get; init; }

    /// <summary>The timeline's length in frames; 0 without <see cref="Aligned"/>.</summary>
    public long Frames { get; init; }

    /// <summary>Clips whose sound becomes the first track.</summary>
    public ImmutableArray<RenderPlace> SoundFrom { get; init; } = [];

    /// <summary>The command that does this job.</summary>
    public string Command { get; init; } = "";

    /// <summary>About how long it takes on two cores, seconds.</summary>
    public double ExpectedSeconds { get; init; }

    /// <summary>The file that says that it is done, and from which inputs.</summary>
    public string DoneMarker => Out + ".done";
}
