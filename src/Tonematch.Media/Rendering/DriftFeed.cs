using System.Globalization;
using System.Runtime.InteropServices;
using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>
/// Feeds FFmpeg a small colour table for each frame of a clip (a Hald picture of 36 nodes per side), with which its
/// filter 'haldclut' removes the drift in float: frame by frame, with the clip's own times and in constant memory.
/// </summary>
/// <remarks>
/// A gain in linear light changes each channel separately, and for encodings with a power curve it is linear in the
/// code values except in the toe, so 36 nodes are accurate enough. For the cost of alternatives see
/// docs/method/shoot.md.
/// </remarks>
internal sealed class DriftFeed
{
    private const int Level = 6;
    private const int Nodes = Level * Level;
    private const int Side = Level * Level * Level;

    // At a constant rate every frame has its own table. At a variable rate frames may come at any time, so there are at
    // least this many tables per second, between which the drift changes little.
    private const double FewestTablesASecond = 60;

    private readonly DriftTrack _track;
    private readonly SignalEncoding _encoding;
    private readonly Rational _rate;
    private readonly double _lead;

    public DriftFeed(DriftTrack track, ClipInfo clip)
    {
        (_track, _encoding) = (track, clip.Encoding);
        _rate = clip.FrameRate with { Numerator = clip.FrameRate.Numerator * Math.Max(1, (long)Math.Ceiling(FewestTablesASecond / clip.FrameRate.Value)) };
        _lead = clip.ContainerStartSeconds - clip.FileStartSeconds;
    }

    /// <summary>For a stretch of a clip that is shown at a constant rate, from time 0 of the graph.</summary>
    /// <param name="track">The clip's drift.</param>
    /// <param name="clip">The clip.</param>
    /// <param name="start">Where in the clip the stretch begins, seconds.</param>
    /// <param name="pace">Seconds of the clip in one second of the graph.</param>
    /// <param name="rate">Frames per second of the graph.</param>
    public DriftFeed(DriftTrack track, ClipInfo clip, double start, double pace, Rational rate)
    {
        _track = new DriftTrack([.. track.Points.Select(p => p with { Seconds = (p.Seconds - start) / pace })]);
        (_encoding, _rate) = (clip.Encoding, rate);
    }

    /// <summary>The arguments that open the tables as FFmpeg's next input.</summary>
    public string[] InputArguments() =>
    [
        "-f", "rawvideo", "-pix_fmt", "gbrpf32le", "-video_size", string.Create(CultureInfo.InvariantCulture, $"{Side}x{Side}"),
        "-framerate", _rate.ToString(), "-thread_queue_size", "4", "-i", "pipe:0",
    ];

    /// <summary>
    /// The part of the graph that removes the drift from float R'G'B'. A table applies from a quarter of its duration
    /// before its frame, so that rounding of time stamps never gives a frame its neighbour's table. The output ends
    /// with the pictures, which end first.
    /// </summary>
    /// <param name="from">The graph's label with the pictures, on the clip's own times.</param>
    /// <param name="input">The index of the input with the tables.</param>
    /// <returns>Filters without an output label.</returns>
    public string Filters(string from, int input)
    {
        double shift = _lead - (0.25 / _rate.Value);
        return string.Create(
            CultureInfo.InvariantCulture,
            $"[{input}:v]settb=AVTB,setpts=PTS+({shift:0.#########})/TB[tables];[{from}][tables]haldclut=interp=tetrahedral:shortest=1");
    }

    /// <summary>Writes tables until FFmpeg, which knows the end of the clip, stops reading.</summary>
    public async Task WriteAsync(Stream input, CancellationToken cancel)
    {
        byte[] table = new byte[3 * Side * Side * sizeof(float)];
        DriftValue? before = null;
        try
        {
            await using (input.ConfigureAwait(false))
            {
                for (long n = 0; ; n++)
                {
                    DriftValue now = _track.At(n / _rate.Value);
                    if (now != before)
                    {
                        Fill(now, table);
                        before = now;
                    }

                    await input.WriteAsync(table, cancel).ConfigureAwait(false);
                }
            }
        }
        catch (Exception e) when (e is IOException or ObjectDisposedException or OperationCanceledException)
        {
            // FFmpeg closed its end: it has the whole clip, or it failed or was ended, which is reported elsewhere.
        }
    }

    /// <summary>The table of one moment: planes of green, blue, red; red runs fastest, then green, then blue.</summary>
    internal void Fill(DriftValue drift, byte[] table)
    {
        (double r, double g, double b) = drift.UndoingGains();
        float[] red = Curve(r), green = Curve(g), blue = Curve(b);
        Span<float> all = MemoryMarshal.Cast<byte, float>(table.AsSpan());
        int plane = Side * Side;
        for (int k = 0; k < plane; k++)
        {
            all[k] = green[k / Nodes % Nodes];
            all[plane + k] = blue[k / (Nodes * Nodes)];
            all[(2 * plane) + k] = red[k % Nodes];
        }
    }

    private float[] Curve(double gain) =>
        [.. Enumerable.Range(0, Nodes).Select(k => (float)_encoding.FromScene(gain * _encoding.ToScene(k / (Nodes - 1.0))))];
}
