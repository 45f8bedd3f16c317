namespace Tonematch.Media.Clips;

/// <summary>One sound track of a clip.</summary>
/// <param name="Index">Its index among the sound tracks, from 0, as used by options and <c>SoundReader</c>.</param>
/// <param name="Codec">FFmpeg's name for the codec.</param>
/// <param name="Channels">Number of channels.</param>
/// <param name="SampleRate">Samples per second.</param>
/// <param name="Language">Three-letter code, or null.</param>
/// <param name="Title">As tagged, or null.</param>
/// <param name="StartSeconds">Its start on the clip's time line (0 = the first frame).</param>
/// <param name="DurationSeconds">Its length; null if the file does not state it.</param>
public sealed record AudioTrack(
    int Index, string Codec, int Channels, int SampleRate, string? Language, string? Title, double StartSeconds, double? DurationSeconds)
{
    /// <summary>
    /// Whether this FFmpeg knows the codec; newer phones add tracks (spatial sound) that older versions do not know.
    /// </summary>
    public bool IsReadable => Codec is not ("unknown" or "none" or "") && Channels > 0;
}
