using Tonematch.Colour;
using Tonematch.Formats.Inputs;
using Tonematch.Samples;

namespace Tonematch.Matching.Requests;

/// <summary>
/// One clip or still picture, and what the user says about it. Everything except the path has a default.
/// </summary>
/// <param name="Path">The file.</param>
public sealed record ClipRequest(string Path)
{
    /// <summary>What the code values mean; null to use the clip's tags.</summary>
    public SignalEncoding? Encoding { get; init; }

    /// <summary>What the recording goes through before anything looks at its colours; null: nothing. <see cref="Encoding"/> is then what comes out of it, BT.709 when not said.</summary>
    public InputLut? Input { get; init; }

    /// <summary>
    /// The chart's four corners in the upright picture, in any order around the chart; null to search for it.
    /// </summary>
    public RegionShape? ChartCorners { get; init; }

    /// <summary>The sound track, from 0; null for the loudest one.</summary>
    public int? AudioTrack { get; init; }

    /// <summary>Distance from the sound source to the microphone, metres, if known.</summary>
    public double? MicDistanceMetres { get; init; }
}
