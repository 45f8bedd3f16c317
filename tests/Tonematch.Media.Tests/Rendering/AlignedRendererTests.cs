using System.Globalization;
using System.Runtime.InteropServices;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Media.Rendering;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Rendering;

public sealed class AlignedRendererTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // FFmpeg counts frames and samples of the results; the frames carry their number, the sound one click at a known sample.
    [Theory]
    [InlineData("a.mov", "25", 1.52, 0)]
    [InlineData("a.mkv", "30000/1001", 2.0, 0)]
    [InlineData("a.mkv", "50", 0.4, 50)]
    [InlineData("a.mov", "25", -1.2, 0)]
    [InlineData("a.mkv", "25", 4.4, 0)]
    public async Task Render_ClipOnATimeline_BeginsAndEndsWithItToTheFrameAndSample(string output, string rate, double start, double ppm)
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(Clicking("c.mkv", rate, 4, 2.5), TestContext.Current.CancellationToken);
        Rational timeline = new(25, 1);
        RenderResult result = await AlignedRenderer.RenderAsync(
            Lut3D.Identity(2), _folder.PathOf(output), new AlignedOptions(new AlignedPlace(clip, start, ppm), timeline, 150), new RenderOptions { Quality = 12 }, null, TestContext.Current.CancellationToken);
        double[] times = CountingClip.DecodedTimes(result.Clip.Path);
        Assert.Equal(150, times.Length);
        Assert.Equal(0, times[0], 6);
        Assert.Equal(149 / 25.0, times[^1], 0.002);
        float[] sound = Sound(result.Clip.Path);
        Assert.Equal(6 * 48000, sound.Length);

        // The click.
        double click = start + (2.5 / (1 + (ppm * 1e-6)));
        int loudest = Enumerable.Range(0, sound.Length).MaxBy(i => Math.Abs(sound[i]));
        if (click < 6)
        {
            // Clocks that run apart by less than 2 ms over the clip are left alone.
            Assert.Equal(click * 48000, loudest, ppm == 0 ? 1.5 : 96);
        }

        // Frames before, in and after the clip.
        // A frame of the timeline shows what lies within half of its own length: one frame of a clip of 50 per second.
        double clipRate = clip.FrameRate.Value, nearest = Math.Max(0.5, 0.5 * clipRate / 25) + 0.03;
        int[] which = [.. Enumerable.Range(0, 15).Select(k => k * 10)];
        var frames = await FrameReader.GrabAsync(result.Clip, [.. which.Select(n => n / 25.0)], TestContext.Current.CancellationToken);
        for (int k = 0; k < which.Length; k++)
        {
            double clipTime = ((which[k] / 25.0) - start) * (1 + (ppm * 1e-6));
            if (clipTime is < -0.001 or > 3.999)
            {
                Assert.True(frames[k].Picture[40, 30].G < 0.02, $"frame {which[k]} is not black");
            }
            else
            {
                Assert.True(Math.Abs(CountingClip.NumberOf(frames[k].Picture) - (clipTime * clipRate)) <= nearest, $"frame {which[k]} shows {CountingClip.NumberOf(frames[k].Picture)} in place of {clipTime * clipRate:0.0}");
            }
        }
    }

    // H.273 (2021), 8.3: black is code 16 of 8 bit (64 of 10) in limited range and 0 in full range; no colour is 128 (512).
    // FFmpeg writes what it decodes in the format it decodes to, so these are the file's own codes.
    [Theory]
    [InlineData("tv", "a.mkv", RenderCodec.H264, 16, 128)]
    [InlineData("pc", "a.mkv", RenderCodec.H264, 0, 128)]
    [InlineData("tv", "a.mov", RenderCodec.ProRes, 64, 512)]
    public async Task Render_WhereTheCameraWasOff_IsBlackByTheRangesOwnCode(string range, string output, RenderCodec codec, int black, int middle)
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(
            CountingClip.Make(_folder.PathOf("r.mkv"), 25, "25", "-vf", $"setparams=range={range}", "-color_range", range, "-c:v", "libx264", "-preset", "ultrafast", "-qp", "8"), TestContext.Current.CancellationToken);
        RenderResult result = await AlignedRenderer.RenderAsync(
            Lut3D.Identity(2), _folder.PathOf(output), new AlignedOptions(new AlignedPlace(clip, 1, 0), new Rational(25, 1), 75), new RenderOptions { Codec = codec }, null, TestContext.Current.CancellationToken);
        foreach (int frame in new[] { 0, 24, 50, 74 })
        {
            byte[] raw = ExternalTool.Ffmpeg().Run(["-v", "error", "-i", result.Clip.Path, "-vf", $"select=eq(n\\,{frame})", "-frames:v", "1", "-f", "rawvideo", "-"]);
            int[] codes = black == 64 ? [.. MemoryMarshal.Cast<byte, ushort>(raw).ToArray().Select(c => (int)c)] : [.. raw.Select(c => (int)c)];
            int luma = CountingClip.Width * CountingClip.Height;
            Assert.Equal(black, codes.Take(luma).Average(), 0.2);
            Assert.Equal(middle, codes.Skip(luma).Average(), 0.2);
        }
    }

    [Fact]
    public async Task Render_WithAnothersSound_HasItFirstAndTheOwnSecond()
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(Clicking("c.mkv", "25", 3, 1), TestContext.Current.CancellationToken);
        ClipInfo one = await ClipProbe.ProbeAsync(Clicking("one.mkv", "25", 2, 0.5), TestContext.Current.CancellationToken);
        ClipInfo two = await ClipProbe.ProbeAsync(Clicking("two.mkv", "25", 2, 0.75), TestContext.Current.CancellationToken);
        AlignedOptions aligned = new(new AlignedPlace(clip, 1, 0), new Rational(25, 1), 150) { SoundFrom = [new AlignedPlace(one, 0.2, 0), new AlignedPlace(two, 3, 0)] };
        RenderResult result = await AlignedRenderer.RenderAsync(Lut3D.Identity(2), _folder.PathOf("s.mov"), aligned, new RenderOptions(), null, TestContext.Current.CancellationToken);
        Assert.Equal(2, result.Clip.AudioTracks.Length);
        float[] first = Sound(result.Clip.Path, 0), own = Sound(result.Clip.Path, 1);
        Assert.Equal([33600, 180000], Clicks(first));
        Assert.Equal([96000], Clicks(own));
    }

    [Fact]
    public async Task Render_ClocksThatRunApart_StayTogetherToTheEnd()
    {
        // 400 ppm over 100 s are 40 ms; clicks at the beginning and near the end.
        ClipInfo clip = await ClipProbe.ProbeAsync(Clicking("long.mkv", "25", 100, 1, 98), TestContext.Current.CancellationToken);
        RenderResult result = await AlignedRenderer.RenderAsync(
            Lut3D.Identity(2), _folder.PathOf("l.mov"), new AlignedOptions(new AlignedPlace(clip, 0.5, 400), new Rational(25, 1), 2600), new RenderOptions(), null, TestContext.Current.CancellationToken);
        int[] clicks = Clicks(Sound(result.Clip.Path));
        Assert.Equal(2, clicks.Length);
        Assert.Equal((0.5 + (1 / 1.0004)) * 48000, clicks[0], 48.0);
        Assert.Equal((0.5 + (98 / 1.0004)) * 48000, clicks[1], 96.0);
    }

    [Fact]
    public async Task Render_ClipThatDoesNotRunDuringTheTimeline_IsRefused()
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(Clicking("c.mkv", "25", 2, 1), TestContext.Current.CancellationToken);
        UnusableInputException e = await Assert.ThrowsAsync<UnusableInputException>(() => AlignedRenderer.RenderAsync(
            Lut3D.Identity(2), _folder.PathOf("n.mov"), new AlignedOptions(new AlignedPlace(clip, 100, 0), new Rational(25, 1), 150), new RenderOptions(), null, TestContext.Current.CancellationToken));
        Assert.Contains("without --aligned", e.Message, StringComparison.Ordinal);
    }

    private static int[] Clicks(float[] sound)
    {
        List<int> found = [];
        for (int i = 0; i < sound.Length; i++)
        {
            if (Math.Abs(sound[i]) > 0.3 && (found.Count == 0 || i > found[^1] + 4800))
            {
                found.Add(Enumerable.Range(i, Math.Min(64, sound.Length - i)).MaxBy(k => Math.Abs(sound[k])));
            }
        }

        return [.. found];
    }

    private static float[] Sound(string path, int track = 0) => MemoryMarshal.Cast<byte, float>(ExternalTool.Ffmpeg().Run(
        ["-v", "error", "-i", path, "-map", $"0:a:{track}", "-ac", "1", "-f", "f32le", "-"])).ToArray();

    // Numbered frames, and a sound of silence with clicks of one sample.
    private string Clicking(string name, string rate, int seconds, params double[] clicks)
    {
        string raw = _folder.PathOf(name + ".f32");
        float[] sound = new float[seconds * 48000];
        foreach (double c in clicks)
        {
            sound[(int)Math.Round(c * 48000)] = 0.9f;
        }

        File.WriteAllBytes(raw, MemoryMarshal.AsBytes<float>(sound).ToArray());
        string[] parts = rate.Split('/');
        double fps = double.Parse(parts[0], CultureInfo.InvariantCulture) / (parts.Length > 1 ? double.Parse(parts[1], CultureInfo.InvariantCulture) : 1);
        return CountingClip.Make(
            _folder.PathOf(name), (int)Math.Round(seconds * fps), rate, "-f", "f32le", "-ar", "48000", "-ac", "1", "-i", raw,
            "-map", "0:v", "-map", "1:a", "-c:v", "libx264", "-preset", "ultrafast", "-qp", "8", "-c:a", "pcm_f32le");
    }
}
