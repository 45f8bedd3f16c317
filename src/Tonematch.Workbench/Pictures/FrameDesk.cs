using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Workbench.Files;

namespace Tonematch.Workbench.Pictures;

/// <summary>Caches the most recent decoded frames, so that stepping back and forth decodes nothing twice.</summary>
internal sealed class FrameDesk : IDisposable
{
    private const long MostBytes = 300_000_000;

    private readonly Lock _lock = new();
    private readonly LinkedList<(Key Key, StoredFrame Frame, long Bytes)> _kept = new();
    private long _bytes;

    // Decoding uses all cores; more than a few decoders at once would only wait for each other.
    private readonly SemaphoreSlim _decoders = new(3);

    /// <inheritdoc/>
    public void Dispose() => _decoders.Dispose();

    /// <summary>The frame shown at an instant, or one some frames before or after it.</summary>
    /// <param name="clip">The clip.</param>
    /// <param name="seconds">The instant on the clip's time line; clamped to the clip.</param>
    /// <param name="step">Number of frames later (negative: earlier).</param>
    /// <param name="side">Longest side, pixels.</param>
    /// <param name="cancel">The page no longer needs it.</param>
    /// <exception cref="UnusableInputException">The frame cannot be decoded.</exception>
    public async Task<StoredFrame> GetAsync(ClipInfo clip, double seconds, int step, int side, CancellationToken cancel)
    {
        double at = await FrameTimeAsync(clip, seconds, step, cancel);
        Key key = new(ClipShelf.Stamp(clip.Path), at, Math.Min(side, Math.Max(clip.StoredWidth, clip.StoredHeight)));
        if (Find(key) is { } there)
        {
            return there;
        }

        await _decoders.WaitAsync(cancel);
        try
        {
            StoredFrame frame = Find(key) ?? (await FrameReader.GrabStoredAsync(clip, [at], side, cancel))[0];
            Keep(key, frame);
            return frame;
        }
        finally
        {
            _decoders.Release();
        }
    }

    private static async Task<double> FrameTimeAsync(ClipInfo clip, double seconds, int step, CancellationToken cancel)
    {
        if (clip.IsStillImage)
        {
            return 0;
        }

        double last = Math.Max(0, clip.DurationSeconds - (clip.FrameRate.Value > 0 ? 0.5 / clip.FrameRate.Value : 0));
        seconds = double.IsFinite(seconds) ? Math.Clamp(seconds, 0, last) : 0;
        double reach = Math.Max(1, (Math.Abs(step) + 2) / Math.Max(clip.FrameRate.Value, 1));
        FrameTimes times = await FrameTimes.ReadAroundAsync(clip, [seconds], reach, cancel);
        int index = times.IndexAt(seconds);
        return index < 0 && step == 0 ? seconds : times.Seconds[Math.Clamp(Math.Max(index, 0) + step, 0, times.Count - 1)];
    }

    private StoredFrame? Find(Key key)
    {
        lock (_lock)
        {
            for (LinkedListNode<(Key Key, StoredFrame Frame, long Bytes)>? node = _kept.First; node is not null; node = node.Next)
            {
                if (node.Value.Key == key)
                {
                    _kept.Remove(node);
                    _kept.AddFirst(node);
                    return node.Value.Frame;
                }
            }

            return null;
        }
    }

    private void Keep(Key key, StoredFrame frame)
    {
        // A stored frame takes at most six bytes per pixel.
        long bytes = 3L * key.Side * key.Side;
        lock (_lock)
        {
            _kept.AddFirst((key, frame, bytes));
            _bytes += bytes;
            while (_bytes > MostBytes && _kept.Count > 1)
            {
                _bytes -= _kept.Last!.Value.Bytes;
                _kept.RemoveLast();
            }
        }
    }

    private sealed record Key((string Path, long Size, long Ticks) File, double Seconds, int Side);
}
