using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Sync.Light;
using Tonematch.Sync.Sound;

namespace Tonematch.Media.Reading;

/// <summary>
/// The access of a match's stages to clips. <see cref="FfmpegClipReader"/> reads files; another reader may supply
/// synthetic clips.
/// </summary>
public abstract class ClipReader
{
    /// <summary>Reads the properties of a file.</summary>
    /// <param name="path">The file.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <exception cref="UnusableInputException">It cannot be read, or holds no picture.</exception>
    public abstract Task<ClipInfo> ProbeAsync(string path, CancellationToken cancel);

    /// <summary>The presentation times of the frames around some instants; more may be returned.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="seconds">The instants on the clip's time line, 0 or more.</param>
    /// <param name="reach">The range before and after each, seconds, above 0.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <exception cref="UnusableInputException">The clip can no longer be read, or holds no frame.</exception>
    public abstract Task<FrameTimes> TimesAroundAsync(ClipInfo clip, IReadOnlyList<double> seconds, double reach, CancellationToken cancel);

    /// <summary>The frame shown at each instant, as a picture.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="seconds">Instants on the clip's time line, in any order. A still picture takes any.</param>
    /// <param name="maxSide">Longest side of the pictures in pixels, at least 16; larger frames are scaled down.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <returns>One frame per instant, in the requested order.</returns>
    /// <exception cref="UnusableInputException">An instant lies outside the clip, or its frame cannot be decoded.</exception>
    public abstract Task<IReadOnlyList<GrabbedFrame>> GrabAsync(ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel);

    /// <summary>The same as stored frames, for examining many frames one after the other.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="seconds">Instants on the clip's time line.</param>
    /// <param name="maxSide">Longest side of the pictures in pixels, at least 16; larger frames are scaled down.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <exception cref="UnusableInputException">An instant lies outside the clip, or its frame cannot be decoded.</exception>
    public abstract Task<IReadOnlyList<StoredFrame>> GrabStoredAsync(ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel);

    /// <summary>Scaled-down frames in time order; dispose each after use.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="options">Which frames, and their size.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <exception cref="UnusableInputException">The clip cannot be decoded.</exception>
    public abstract IAsyncEnumerable<TimedPicture> SequenceAsync(ClipInfo clip, FrameSequenceOptions options, CancellationToken cancel);

    /// <summary>Light and motion of the pictures over a section.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="fromSeconds">First instant on the clip's time line, seconds.</param>
    /// <param name="durationSeconds">Duration, seconds, above 0.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <returns>One sample per frame, times ascending.</returns>
    /// <exception cref="UnusableInputException">The clip cannot be decoded.</exception>
    public abstract Task<IReadOnlyList<LightSample>> LightAsync(ClipInfo clip, double fromSeconds, double durationSeconds, CancellationToken cancel);

    /// <summary>The loudest sound track; null if the clip has none that can be decoded.</summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="cancel">Cancels the work.</param>
    public abstract Task<int?> LoudTrackAsync(ClipInfo clip, CancellationToken cancel);

    /// <summary>
    /// The whole sound of one track, mixed down to mono; the index of a sample always gives its time.
    /// </summary>
    /// <param name="clip">From <see cref="ProbeAsync"/>.</param>
    /// <param name="sampleRate">Requested samples per second.</param>
    /// <param name="track">Number of the sound track from 0; null for the first that can be decoded.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <exception cref="UnusableInputException">The clip has no such track, or it cannot be decoded.</exception>
    public abstract Task<MonoSound> SoundAsync(ClipInfo clip, int sampleRate, int? track, CancellationToken cancel);
}
