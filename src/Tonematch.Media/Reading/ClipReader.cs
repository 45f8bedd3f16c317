using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Sync.Light;
using Tonematch.Sync.Sound;

namespace Tonematch.Media.Reading;

/// <summary>
/// How the stages of a match reach clips: everything they ever ask of one. <see cref="FfmpegClipReader"/> reads files;
/// another reader may give clips that no file holds.
/// </summary>
public abstract class ClipReader
{
    /// <summary>What a file is.</summary>
    /// <param name="path">The file.</param>
    /// <param name="cancel">Ends the work.</param>
    /// <exception cref="UnusableInputException">It cannot be read, or holds no picture.</exception>
    public abstract Task<ClipInfo> ProbeAsync(string path, CancellationToken cancel);

    /// <summary>The presentation times of the frames around some instants; more may be given.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="seconds">The instants on the clip's time line, 0 or more.</param>
    /// <param name="reach">How far before and after each, in seconds, above 0.</param>
    /// <param name="cancel">Ends the work.</param>
    /// <exception cref="UnusableInputException">The clip cannot be read any more, or holds no frame.</exception>
    public abstract Task<FrameTimes> TimesAroundAsync(ClipInfo clip, IReadOnlyList<double> seconds, double reach, CancellationToken cancel);

    /// <summary>The frame shown at each instant, as a picture.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="seconds">Instants on the clip's time line, in any order. A still picture takes any.</param>
    /// <param name="maxSide">Longest side of the pictures in pixels, at least 16; larger frames are scaled down.</param>
    /// <param name="cancel">Ends the work.</param>
    /// <returns>One frame per instant, in the order asked for.</returns>
    /// <exception cref="UnusableInputException">An instant lies outside the clip, or its frame cannot be decoded.</exception>
    public abstract Task<IReadOnlyList<GrabbedFrame>> GrabAsync(ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel);

    /// <summary>The same, kept as the clip stores them, for many frames that are looked at one after the other.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="seconds">Instants on the clip's time line.</param>
    /// <param name="maxSide">Longest side of the pictures in pixels, at least 16; larger frames are scaled down.</param>
    /// <param name="cancel">Ends the work.</param>
    /// <exception cref="UnusableInputException">An instant lies outside the clip, or its frame cannot be decoded.</exception>
    public abstract Task<IReadOnlyList<StoredFrame>> GrabStoredAsync(ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel);

    /// <summary>Frames one after the other, small, in order of time; dispose each after use.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="options">Which frames, and how large.</param>
    /// <param name="cancel">Ends the work.</param>
    /// <exception cref="UnusableInputException">The clip cannot be decoded.</exception>
    public abstract IAsyncEnumerable<TimedPicture> SequenceAsync(ClipInfo clip, FrameSequenceOptions options, CancellationToken cancel);

    /// <summary>How light and motion of the pictures run over a stretch.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="fromSeconds">First instant on the clip's time line, seconds.</param>
    /// <param name="durationSeconds">How much, seconds, above 0.</param>
    /// <param name="cancel">Ends the work.</param>
    /// <returns>One sample per frame, times rising.</returns>
    /// <exception cref="UnusableInputException">The clip cannot be decoded.</exception>
    public abstract Task<IReadOnlyList<LightSample>> LightAsync(ClipInfo clip, double fromSeconds, double durationSeconds, CancellationToken cancel);

    /// <summary>The sound track with the most to hear; null when the clip has none that can be decoded.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="cancel">Ends the work.</param>
    public abstract Task<int?> LoudTrackAsync(ClipInfo clip, CancellationToken cancel);

    /// <summary>The whole sound of one track, mixed down to mono; a sample's number is always its time.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="sampleRate">Samples per second wanted.</param>
    /// <param name="track">Number of the sound track from 0; null: the first that can be decoded.</param>
    /// <param name="cancel">Ends the work.</param>
    /// <exception cref="UnusableInputException">The clip has no such sound, or it cannot be decoded.</exception>
    public abstract Task<MonoSound> SoundAsync(ClipInfo clip, int sampleRate, int? track, CancellationToken cancel);
}
