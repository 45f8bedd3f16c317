using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Media.Sound;
using Tonematch.Sync.Light;
using Tonematch.Sync.Sound;

namespace Tonematch.Media.Reading;

/// <summary>Reads clips from files with FFmpeg. Stateless: one instance serves all.</summary>
public sealed class FfmpegClipReader : ClipReader
{
    private FfmpegClipReader()
    {
    }

    /// <summary>The reader.</summary>
    public static FfmpegClipReader Instance { get; } = new();

    /// <inheritdoc/>
    public override Task<ClipInfo> ProbeAsync(string path, CancellationToken cancel) => ClipProbe.ProbeAsync(path, cancel);

    /// <inheritdoc/>
    public override Task<FrameTimes> TimesAroundAsync(ClipInfo clip, IReadOnlyList<double> seconds, double reach, CancellationToken cancel) =>
        FrameTimes.ReadAroundAsync(clip, seconds, reach, cancel);

    /// <inheritdoc/>
    public override Task<IReadOnlyList<GrabbedFrame>> GrabAsync(ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel) =>
        FrameReader.GrabAsync(clip, seconds, maxSide, cancel);

    /// <inheritdoc/>
    public override Task<IReadOnlyList<StoredFrame>> GrabStoredAsync(ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel) =>
        FrameReader.GrabStoredAsync(clip, seconds, maxSide, cancel);

    /// <inheritdoc/>
    public override IAsyncEnumerable<TimedPicture> SequenceAsync(ClipInfo clip, FrameSequenceOptions options, CancellationToken cancel) =>
        FrameSequence.ReadAsync(clip, options, cancel);

    /// <inheritdoc/>
    public override Task<IReadOnlyList<LightSample>> LightAsync(ClipInfo clip, double fromSeconds, double durationSeconds, CancellationToken cancel) =>
        LightSeries.ReadAsync(clip, fromSeconds, durationSeconds, cancel);

    /// <inheritdoc/>
    public override Task<int?> LoudTrackAsync(ClipInfo clip, CancellationToken cancel) => SoundReader.ChooseTrackAsync(clip, cancel);

    /// <inheritdoc/>
    public override Task<MonoSound> SoundAsync(ClipInfo clip, int sampleRate, int? track, CancellationToken cancel) =>
        SoundReader.ReadMonoAsync(clip, sampleRate, track, cancel: cancel);
}
