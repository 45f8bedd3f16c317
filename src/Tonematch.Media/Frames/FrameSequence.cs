using System.Globalization;
using System.Runtime.CompilerServices;
using System.Threading.Channels;
using Tonematch.Media.Clips;
using Tonematch.Media.Processes;
using Tonematch.Pictures;

namespace Tonematch.Media.Frames;

/// <summary>
/// Streams scaled-down frames of a clip in time order, with constant memory whatever the clip's length.
/// </summary>
public static class FrameSequence
{
    // Frames decoded ahead of the caller: enough to bridge a keyframe, few enough to stay small.
    private const int Ahead = 6;

    /// <summary>Decodes, scales and converts while the caller examines earlier frames.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="options">Which frames, and their size.</param>
    /// <param name="cancel">Cancels the work and the process.</param>
    /// <returns>Frames with ascending times; dispose each after use.</returns>
    /// <exception cref="UnusableInputException">The clip cannot be decoded.</exception>
    public static async IAsyncEnumerable<TimedPicture> ReadAsync(
        ClipInfo clip, FrameSequenceOptions options, [EnumeratorCancellation] CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clip);
        ArgumentNullException.ThrowIfNull(options);
        using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(cancel);
        var ready = Channel.CreateBounded<TimedPicture>(new BoundedChannelOptions(Ahead) { SingleReader = true, SingleWriter = true });
        Task producer = Task.Run(() => ProduceAsync(clip, options, ready.Writer, stop.Token), CancellationToken.None);
        try
        {
            await foreach (TimedPicture frame in ready.Reader.ReadAllAsync(cancel).ConfigureAwait(false))
            {
                yield return frame;
            }
        }
        finally
        {
            // Also if the caller stops early: the process must not outlive the loop.
            await stop.CancelAsync().ConfigureAwait(false);
            try
            {
                await producer.ConfigureAwait(false);
            }
            catch (Exception e) when (e is OperationCanceledException or ChannelClosedException)
            {
                // It was cancelled.
            }
        }
    }

    private static async Task ProduceAsync(
        ClipInfo clip, FrameSequenceOptions options, ChannelWriter<TimedPicture> ready, CancellationToken cancel)
    {
        try
        {
            await using RawFrames frames = RawFrames.Start(clip, [Stretch(clip, options)], FrameReader.Scaled(clip, options.MaxSide), null, cancel);
            byte[] raw = new byte[frames.FrameBytes];
            PlanePool pool = new(frames.Width * frames.Height);
            double end = options.DurationSeconds is { } d ? options.FromSeconds + d : double.PositiveInfinity;
            int given = 0;
            while (await frames.NextAsync(raw, cancel).ConfigureAwait(false) is { } seconds)
            {
                if (seconds >= end)
                {
                    ready.Complete();
                    return;
                }

                if (seconds >= options.FromSeconds - 5e-7 || clip.IsStillImage)
                {
                    given++;
                    await ready.WriteAsync(Convert(clip, frames, raw, seconds, pool), cancel).ConfigureAwait(false);
                }
            }

            string? errors = await frames.EndAsync().ConfigureAwait(false);
            if (errors is not null && given == 0)
            {
                throw new UnusableInputException(FfmpegMessage.WhyNotDecoded(clip.Path, "The pictures", errors));
            }

            ready.Complete();
        }
        catch (Exception e)
        {
            // The reader receives the exception, so it is not lost in this task.
            ready.TryComplete(e);
        }
    }

    /// <summary>
    /// Where decoding begins and which frames are kept; some before the first instant may be included.
    /// </summary>
    internal static RawFrames.Stretch Stretch(ClipInfo clip, FrameSequenceOptions options)
    {
        List<string> input = [], select = [];
        if (options.KeyframesOnly)
        {
            input.AddRange(["-skip_frame", "nokey"]);
        }

        if (options.LeavesBlockEdges)
        {
            input.AddRange(["-skip_loop_filter", "noref"]);
        }

        double from = options.FromSeconds + clip.ContainerStartSeconds;
        if (options.FromSeconds > 0 && !clip.IsStillImage)
        {
            double seek = from - clip.FileStartSeconds - (clip.SeeksExactly ? 0.5 : 3);
            if (seek > 0)
            {
                input.AddRange(["-ss", seek.ToString("0.######", CultureInfo.InvariantCulture)]);
            }
        }

        // Dropped before scaling, so that unwanted frames cost only their decoding.
        List<string> conditions = [];
        if (options.FromSeconds > 0 && !clip.IsStillImage)
        {
            conditions.Add(string.Create(CultureInfo.InvariantCulture, $"gte(t,{from - 5e-7:0.#########})"));
        }

        if (options.MinGapSeconds > 0)
        {
            conditions.Add(string.Create(CultureInfo.InvariantCulture, $"(isnan(prev_selected_t)+gte(t-prev_selected_t,{options.MinGapSeconds - 5e-7:0.#########}))"));
        }

        if (conditions.Count > 0)
        {
            select.Add($"select='{string.Join('*', conditions)}'");
        }

        return new([.. input], [.. select]);
    }

    private static TimedPicture Convert(ClipInfo clip, RawFrames frames, byte[] raw, double seconds, PlanePool pool)
    {
        float[][] planes = pool.Rent();
        frames.Converter.Convert(raw, planes[0], planes[1], planes[2]);
        clip.InputLut?.Apply(planes[0], planes[1], planes[2]);
        Orientation o = clip.Orientation;
        (int width, int height) = (frames.Width, frames.Height);
        if (o != Orientation.Upright)
        {
            float[][] turned = pool.Rent();
            for (int c = 0; c < 3; c++)
            {
                o.Turn(planes[c], turned[c], width, height);
            }

            pool.Return(planes);
            planes = turned;
            (width, height) = o.SwapsSides() ? (height, width) : (width, height);
        }

        return new TimedPicture(new Picture(width, height, planes[0], planes[1], planes[2], clip.Encoding), seconds, planes, pool);
    }
}
