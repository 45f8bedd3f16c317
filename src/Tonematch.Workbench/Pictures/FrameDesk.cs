using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Workbench.Files;

namespace Tonematch.Workbench.Pictures;

/// <summary>Caches the most recent decoded frames, so that stepping back and forth decodes nothing twice.</summary>
internal sealed class FrameDesk : IDisposable
{
    private const long MostBytes = 300_000_000;

    // Frames decoded together with one that is stepped to: whoever steps once steps again, and far from a keyframe nearly
    // all the time goes into the frames before it, which are the same for its neighbours.
    private const int Neighbours = 8;

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
    /// <param name="ahead">
    /// Above 0: the next frames will be asked for, and some are decoded at once; below 0: the ones before; 0: as the step.
    /// </param>
    /// <param name="side">Longest side, pixels.</param>
    /// <param name="cancel">The page no longer needs it.</param>
    /// <exception cref="UnusableInputException">The frame cannot be decoded.</exception>
    public async Task<StoredFrame> GetAsync(ClipInfo clip, double seconds, int step, int ahead, int side, CancellationToken cancel)
    {
        IReadOnlyList<double> run = await RunAsync(clip, seconds, step, Math.Sign(ahead == 0 ? step : ahead), cancel);
        (string Path, long Size, long Ticks) file = ClipShelf.Stamp(clip.Path);
        Key Of(double at) => new(file, at, Math.Min(side, Math.Max(clip.StoredWidth, clip.StoredHeight)));
        Key asked = Of(run[0]);
        if (Find(asked) is { } there)
        {
            return there;
        }

        await _decoders.WaitAsync(cancel);
        try
        {
            if (Find(asked) is { } since)
            {
                return since;
            }

            IReadOnlyList<StoredFrame> frames = await FrameReader.GrabStoredAsync(clip, run, side, cancel);
            for (int i = frames.Count - 1; i >= 0; i--)
            {
                Keep(Of(run[i]), frames[i]);
            }

            return frames[0];
        }
        finally
        {
            _decoders.Release();
        }
    }

    // The time of the frame that is asked for, then those of the next ones in a direction (-1 or 1; 0 for none).
    private static async Task<IReadOnlyList<double>> RunAsync(ClipInfo clip, double seconds, int step, int direction, CancellationToken cancel)
    {
        if (clip.IsStillImage)
        {
            return [0];
        }

        double last = Math.Max(0, clip.DurationSeconds - (clip.FrameRate.Value > 0 ? 0.5 / clip.FrameRate.Value : 0));
        seconds = double.IsFinite(seconds) ? Math.Clamp(seconds, 0, last) : 0;
        double reach = Math.Max(1, (Math.Abs(step) + Neighbours + 2) / Math.Max(clip.FrameRate.Value, 1));
        FrameTimes times = await FrameTimes.ReadAroundAsync(clip, [seconds], reach, cancel);
        int index = times.IndexAt(seconds);
        if (index < 0 && step == 0)
        {
            return [seconds];
        }

        int asked = Math.Clamp(Math.Max(index, 0) + step, 0, times.Count - 1);
        return
        [
            .. Enumerable.Range(0, direction == 0 ? 1 : Neighbours + 1).Select(i => asked + (i * direction))
                .Where(i => i >= 0 && i < times.Count).Select(i => times.Seconds[i]),
        ];
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
        if (Find(key) is not null)
        {
            return;
        }

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
