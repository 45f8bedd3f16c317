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

    /// <summary>
    /// The input LUT, applied before anything looks at the colours; null for none. <see cref="Encoding"/> is then that
    /// of its output, BT.709 by default.
    /// </summary>
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
