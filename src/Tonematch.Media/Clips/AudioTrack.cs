namespace Tonematch.Media.Clips;

/// <summary>One sound track of a clip.</summary>
/// <param name="Index">Its number among the sound tracks, from 0: what options and <c>SoundReader</c> take.</param>
/// <param name="Codec">FFmpeg's name of the codec.</param>
/// <param name="Channels">Number of channels.</param>
/// <param name="SampleRate">Samples a second.</param>
/// <param name="Language">Three-letter code, or null.</param>
/// <param name="Title">As tagged, or null.</param>
/// <param name="StartSeconds">When it begins on the clip's time line (0 = the first frame).</param>
/// <param name="DurationSeconds">How long it lasts, or null when the file does not say.</param>
public sealed record AudioTrack(
    int Index, string Codec, int Channels, int SampleRate, string? Language, string? Title, double StartSeconds, double? DurationSeconds)
{
    /// <summary>This FFmpeg knows the codec; newer phones add tracks (spatial sound) that older ones do not.</summary>
    public bool IsReadable => Codec is not ("unknown" or "none" or "") && Channels > 0;
}
