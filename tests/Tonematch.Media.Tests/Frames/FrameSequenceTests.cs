using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Frames;

public sealed class FrameSequenceTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData("a.mp4")]
    [InlineData("a.ts")]
    public async Task Read_EveryFrame_GivesAllInOrderWithTheirTimes(string name)
    {
        string path = CountingClip.Make(_folder.PathOf(name), 90, "30000/1001", "-c:v", "libx264", "-preset", "veryfast", "-g", "30", "-sc_threshold", "0");
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        FrameTimes times = await FrameTimes.ReadAsync(clip, TestContext.Current.CancellationToken);
        Assert.Equal([.. Enumerable.Range(0, 90)], (await ReadAsync(clip, new FrameSequenceOptions(), times)).Numbers);

        (List<int> part, _) = await ReadAsync(clip, new FrameSequenceOptions { FromSeconds = times.Seconds[47], DurationSeconds = 0.5 }, times);
        Assert.Equal([.. Enumerable.Range(47, 15)], part);

        Assert.Equal([0, 30, 60], (await ReadAsync(clip, new FrameSequenceOptions { KeyframesOnly = true }, times)).Numbers);

        (List<int> thin, _) = await ReadAsync(clip, new FrameSequenceOptions { MinGapSeconds = 0.5, MaxSide = 48 }, times);
        Assert.Equal([0, 15, 30, 45, 60, 75], thin);
    }

    [Fact]
    public async Task Read_LongClip_UsesTheSameFewPlanesAgain()
    {
        string path = CountingClip.Make(_folder.PathOf("a.mp4"), 300, "30", "-c:v", "libx264", "-preset", "ultrafast");
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        HashSet<object> seen = new(ReferenceEqualityComparer.Instance);
        int count = 0;
        await foreach (TimedPicture frame in FrameSequence.ReadAsync(clip, new FrameSequenceOptions(), TestContext.Current.CancellationToken))
        {
            count++;
            seen.Add(frame.PlanesForTests[0]);
            frame.Dispose();
            Assert.Throws<ObjectDisposedException>(() => frame.Picture);
        }

        Assert.Equal(300, count);
        Assert.InRange(seen.Count, 1, 10);
    }

    [Fact]
    public async Task Read_LeftEarly_EndsTheProcess()
    {
        string path = CountingClip.Make(_folder.PathOf("a.mp4"), 300, "30", "-c:v", "libx264", "-preset", "ultrafast");
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        await foreach (TimedPicture frame in FrameSequence.ReadAsync(clip, new FrameSequenceOptions(), TestContext.Current.CancellationToken))
        {
            frame.Dispose();
            break;
        }

        // The file is free again: nothing holds it open any more.
        File.Delete(path);
        Assert.False(File.Exists(path));
        await Assert.ThrowsAsync<UnusableInputException>(() => ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Grab_ScaledDown_EqualsTheMeanOfTheFullFrame()
    {
        // Smooth colours, a whole number of pixels averaged: the scaled picture is the average of the exact one, up to
        // the rounding of the scaled Y'CbCr codes (half a code each).
        string path = _folder.PathOf("smooth.mp4");
        ExternalTool.Ffmpeg().Run([
            "-v", "error", "-f", "lavfi", "-i", "gradients=s=256x192:c0=red:c1=blue:x0=0:y0=0:x1=255:y1=191:d=0.1:speed=0.00001", "-pix_fmt", "yuv420p", "-c:v", "libx264",
            "-qp", "0", "-colorspace", "bt709", "file:" + path]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        var full = (await FrameReader.GrabAsync(clip, [0], TestContext.Current.CancellationToken))[0].Picture;
        var small = (await FrameReader.GrabAsync(clip, [0], 64, TestContext.Current.CancellationToken))[0].Picture;
        Assert.Equal((64, 48), (small.Width, small.Height));
        double worst = 0;
        for (int y = 1; y < 47; y++)
        {
            for (int x = 1; x < 63; x++)
            {
                double r = 0, b = 0;
                for (int k = 0; k < 16; k++)
                {
                    r += full[(4 * x) + (k % 4), (4 * y) + (k / 4)].R / 16;
                    b += full[(4 * x) + (k % 4), (4 * y) + (k / 4)].B / 16;
                }

                worst = Math.Max(worst, Math.Max(Math.Abs(r - small[x, y].R), Math.Abs(b - small[x, y].B)));
            }
        }

        Assert.True(worst < 2.0 / 255, $"worst difference {255 * worst} codes");
    }

    // Against the whole decoding of the same frames: what is left out must not be seen in a small picture's colours.
    [Fact]
    public async Task Read_LeavingBlockEdges_GivesTheSameFramesAndMeans()
    {
        string path = _folder.PathOf("noisy.mp4");
        ExternalTool.Ffmpeg().Run([
            "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=640x360:r=25:d=2,noise=alls=12:allf=t", "-pix_fmt", "yuv420p", "-c:v", "libx264", "-b:v", "600k",
            "-x264-params", "keyint=25:bframes=3:scenecut=0", "-colorspace", "bt709", "file:" + path]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        List<(double Seconds, double Mean)> whole = await MeansAsync(clip, new() { MaxSide = 160 });
        List<(double Seconds, double Mean)> quick = await MeansAsync(clip, new() { MaxSide = 160, LeavesBlockEdges = true });
        Assert.Equal(50, whole.Count);
        Assert.Equal(whole.Select(w => w.Seconds), quick.Select(q => q.Seconds));
        Assert.All(whole.Zip(quick), p => Assert.Equal(p.First.Mean, p.Second.Mean, 0.1 / 255));

        // It does leave something out.
        Assert.NotEqual(whole, quick);
    }

    private static async Task<List<(double Seconds, double Mean)>> MeansAsync(ClipInfo clip, FrameSequenceOptions options)
    {
        List<(double, double)> means = [];
        await foreach (TimedPicture frame in FrameSequence.ReadAsync(clip, options, TestContext.Current.CancellationToken))
        {
            using (frame)
            {
                double sum = 0;
                foreach (float v in frame.Picture.G)
                {
                    sum += v;
                }

                means.Add((frame.Seconds, sum / frame.Picture.G.Length));
            }
        }

        return means;
    }

    private static async Task<(List<int> Numbers, List<double> Seconds)> ReadAsync(ClipInfo clip, FrameSequenceOptions options, FrameTimes times)
    {
        List<int> numbers = [];
        List<double> seconds = [];
        await foreach (TimedPicture frame in FrameSequence.ReadAsync(clip, options, TestContext.Current.CancellationToken))
        {
            using (frame)
            {
                numbers.Add(CountingClip.NumberOf(frame.Picture));
                seconds.Add(frame.Seconds);
                Assert.Equal(times.Seconds[numbers[^1]], frame.Seconds, 1e-6);
            }
        }

        return (numbers, seconds);
    }
}
