using System.Collections.Concurrent;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Media.Reading;
using Tonematch.Pictures;
using Tonematch.Sync.Light;
using Tonematch.Sync.Sound;

namespace Tonematch.Matching.Tests.Stages;

/// <summary>Clips that no file holds: pictures, light and sound are made where they are asked for, and what was asked is written down.</summary>
internal sealed class MadeClipReader : ClipReader
{
    private const int KeyframeEvery = 25;

    private readonly Dictionary<string, Made> _clips = new(StringComparer.Ordinal);
    private readonly ConcurrentQueue<string> _asked = new();
    private int _pending;

    /// <summary>What was asked, in order: 'sound a', 'light b', 'grab a 3', 'stored a 24', 'sequence b'.</summary>
    public string[] Asked => [.. _asked];

    /// <summary>Grabs that have begun and not ended.</summary>
    public int Pending => _pending;

    /// <summary>When given, every grab after the first of each clip waits for it.</summary>
    public Task? Gate { get; init; }

    /// <summary>Adds a clip and gives its facts.</summary>
    public ClipInfo Add(
        ClipInfo clip, Func<double, Picture>? picture = null, MonoSound? sound = null, Func<double, (double Light, double Motion)>? light = null)
    {
        ClipInfo info = clip with
        {
            PixelFormat = "gbrpf32le",
            BitDepth = 32,
            Range = SignalRange.Full,
            AudioTracks = sound is null ? [] : [new AudioTrack(0, "pcm_f32le", 1, sound.SampleRate, null, null, 0, sound.DurationSeconds)],
        };
        _clips[info.Path] = new Made(info, picture, sound, light ?? (_ => (0.5, 0)));
        return info;
    }

    public override Task<ClipInfo> ProbeAsync(string path, CancellationToken cancel) => Task.FromResult(_clips[path].Info);

    public override Task<FrameTimes> TimesAroundAsync(ClipInfo clip, IReadOnlyList<double> seconds, double reach, CancellationToken cancel)
    {
        double[] times = clip.IsStillImage ? [0] : Times(clip);
        return Task.FromResult(new FrameTimes(times, [.. times.Select((_, i) => i % KeyframeEvery == 0)]));
    }

    public override async Task<IReadOnlyList<GrabbedFrame>> GrabAsync(ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel)
    {
        Interlocked.Increment(ref _pending);
        try
        {
            bool isFirst = !_asked.Any(a => a.StartsWith($"grab {clip.Path} ", StringComparison.Ordinal));
            _asked.Enqueue(FormattableString.Invariant($"grab {clip.Path} {seconds.Count}"));
            if (!isFirst && Gate is not null)
            {
                await Gate;
            }

            return [.. seconds.Select(s => new GrabbedFrame(PictureOf(clip, Shown(clip, s), maxSide), Shown(clip, s)))];
        }
        finally
        {
            Interlocked.Decrement(ref _pending);
        }
    }

    public override Task<IReadOnlyList<StoredFrame>> GrabStoredAsync(ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel)
    {
        _asked.Enqueue(FormattableString.Invariant($"stored {clip.Path} {seconds.Count}"));
        return Task.FromResult<IReadOnlyList<StoredFrame>>([.. seconds.Select(s => Stored(clip, PictureOf(clip, Shown(clip, s), maxSide), Shown(clip, s)))]);
    }

    public override async IAsyncEnumerable<TimedPicture> SequenceAsync(
        ClipInfo clip, FrameSequenceOptions options, [EnumeratorCancellation] CancellationToken cancel)
    {
        _asked.Enqueue($"sequence {clip.Path}");
        double end = options.FromSeconds + (options.DurationSeconds ?? double.PositiveInfinity), last = double.NegativeInfinity;
        foreach ((double t, int i) in Times(clip).Select((t, i) => (t, i)))
        {
            cancel.ThrowIfCancellationRequested();
            if (t >= options.FromSeconds - 5e-7 && t < end && t - last >= options.MinGapSeconds && (!options.KeyframesOnly || i % KeyframeEvery == 0))
            {
                last = t;
                await Task.Yield();
                yield return new TimedPicture(PictureOf(clip, t, options.MaxSide), t, [], new PlanePool(1));
            }
        }
    }

    public override Task<IReadOnlyList<LightSample>> LightAsync(ClipInfo clip, double fromSeconds, double durationSeconds, CancellationToken cancel)
    {
        _asked.Enqueue($"light {clip.Path}");
        return Task.FromResult<IReadOnlyList<LightSample>>([.. Times(clip).Where(t => t >= fromSeconds && t < fromSeconds + durationSeconds).Select(t =>
        {
            (double light, double motion) = _clips[clip.Path].Light(t);
            return new LightSample(t, light, motion);
        })]);
    }

    public override Task<int?> LoudTrackAsync(ClipInfo clip, CancellationToken cancel) => Task.FromResult<int?>(_clips[clip.Path].Sound is null ? null : 0);

    public override Task<MonoSound> SoundAsync(ClipInfo clip, int sampleRate, int? track, CancellationToken cancel)
    {
        _asked.Enqueue($"sound {clip.Path}");
        return Task.FromResult(_clips[clip.Path].Sound!);
    }

    private static double[] Times(ClipInfo clip) =>
        [.. Enumerable.Range(0, (int)Math.Round(clip.DurationSeconds * clip.FrameRate.Value)).Select(i => i / clip.FrameRate.Value)];

    // The frame that is shown: the last one not after the instant.
    private static double Shown(ClipInfo clip, double seconds) => clip.IsStillImage
        ? 0
        : Math.Floor((seconds * clip.FrameRate.Value) + 1e-6) / clip.FrameRate.Value;

    private Picture PictureOf(ClipInfo clip, double seconds, int maxSide) => PictureScale.ToSmall(_clips[clip.Path].Picture!(seconds), maxSide);

    // Planes of green, blue and red in floating point, as the pixel format says.
    private static StoredFrame Stored(ClipInfo clip, Picture picture, double seconds)
    {
        byte[] raw = [.. MemoryMarshal.AsBytes(picture.G), .. MemoryMarshal.AsBytes(picture.B), .. MemoryMarshal.AsBytes(picture.R)];
        YcbcrToRgb converter = new(PixelLayout.Find(clip.PixelFormat)!, picture.Width, picture.Height, 0, clip.Range, 0, 0);
        return new StoredFrame(clip, converter, raw, picture.Width, picture.Height, seconds);
    }

    private sealed record Made(ClipInfo Info, Func<double, Picture>? Picture, MonoSound? Sound, Func<double, (double Light, double Motion)> Light);
}
