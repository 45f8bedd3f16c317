using Tonematch.Colour;
using Tonematch.Formats.Inputs;
using Tonematch.Samples;

namespace Tonematch.Matching.Requests;

/// <summary>One clip or still picture, and what the user says of it. Everything but the path has a sensible default.</summary>
/// <param name="Path">The file.</param>
public sealed record ClipRequest(string Path)
{
    /// <summary>What the code values mean; null: the clip's tags decide.</summary>
    public SignalEncoding? Encoding { get; init; }

    /// <summary>What the recording goes through before anything looks at its colours; null: nothing. <see cref="Encoding"/> is then what comes out of it, BT.709 when not said.</summary>
    public InputLut? Input { get; init; }

    /// <summary>The chart's four corners in the upright picture, in any order round the chart; null: it is looked for.</summary>
    public RegionShape? ChartCorners { get; init; }

    /// <summary>The sound track, from 0; null: the loud one.</summary>
    public int? AudioTrack { get; init; }

    /// <summary>Metres from the sound's source to the microphone, when known.</summary>
    public double? MicDistanceMetres { get; init; }
}
