using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Frames;

public sealed class FrameReaderTests : IDisposable
{
    private const string Gop = "keyint=24:bframes=3:scenecut=0:open-gop=1";
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // The true number of the frame at each instant comes from a full decode by ffprobe, which seeks nowhere.
    [Theory]
    [InlineData("a.mp4", "25", "")]
    [InlineData("a.mp4", "24000/1001", "")]
    [InlineData("a.mov", "30000/1001", "")]
    [InlineData("a.mp4", "50", "")]
    [InlineData("a.mp4", "60000/1001", "")]
    [InlineData("variable.mp4", "30", "settb=1/90000,setpts='(N/30+0.3*floor(N/7)+0.011*mod(N,3))/TB'")]
    [InlineData("variable.mkv", "30", "settb=1/90000,setpts='(N/30+0.3*floor(N/7)+0.011*mod(N,3))/TB'")]
    [InlineData("broadcast.ts", "30000/1001", "")]
    [InlineData("late.ts", "25", "settb=1/90000,setpts='(N/25+7.3)/TB'")]
    [InlineData("late.mp4", "25", "settb=1/90000,setpts='(N/25+2.36)/TB'")]
    public async Task Grab_AnyContainerAndRate_GivesTheFrameShownAtThatInstant(string name, string rate, string filter)
    {
        string path = CountingClip.Make(
            _folder.PathOf(name), 100, rate, ["-vf", filter.Length == 0 ? "null" : filter, .. FfmpegSpelling.PassEveryFrame, "-enc_time_base", "1:90000",
            "-c:v", "libx264", "-preset", "veryfast", "-x264-params", Gop]);
        await AssertFramesAsync(path);
    }

    [Theory]
    [InlineData("old.avi", "mpeg4", "-bf", "2")]
    [InlineData("intra.avi", "mjpeg", "-q:v", "3")]
    [InlineData("programme.mpg", "mpeg2video", "-bf", "2")]
    public async Task Grab_OlderContainers_GiveTheFrameShownAtThatInstant(string name, string codec, params string[] options)
    {
        string path = CountingClip.Make(_folder.PathOf(name), 60, "25", ["-c:v", codec, "-g", "12", .. options]);
        await AssertFramesAsync(path);
    }

    // Long clips are not read whole: only the packets around the instants are.
    [Theory]
    [InlineData("long.mp4", "")]
    [InlineData("long.mkv", "settb=1/90000,setpts='(N/15+0.3*floor(N/7)+0.02*mod(N,3))/TB'")]
    public async Task Grab_LongClip_GivesTheFrameShownAtThatInstant(string name, string filter)
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        string path = CountingClip.Make(
            _folder.PathOf(name), 1500, "15", ["-vf", filter.Length == 0 ? "null" : filter, .. FfmpegSpelling.PassEveryFrame, "-enc_time_base", "1:90000",
            "-c:v", "libx264", "-preset", "ultrafast", "-x264-params", "keyint=75:bframes=3:scenecut=0"]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, cancel);
        Assert.InRange(clip.DurationSeconds, 90, 200);
        ClipInfo again = await ClipProbe.ProbeAsync(path, cancel);
        FrameTimes times = await FrameTimes.ReadAsync(again, cancel);
        int[] numbers = [0, 74, 75, 1123, 1499];
        double[] at = [.. numbers.SelectMany(n => (double[])[times.Seconds[n], n < 1499 ? times.Seconds[n + 1] - 0.001 : times.Seconds[n] + 0.01])];
        Assert.InRange((await FrameTimes.ReadAroundAsync(clip, at, reach: 1, cancel)).Count, 10, 900);
        IReadOnlyList<GrabbedFrame> frames = await FrameReader.GrabAsync(clip, at, cancel);
        Assert.Equal(numbers.SelectMany(n => (int[])[n, n]), frames.Select(f => CountingClip.NumberOf(f.Picture)));
        Assert.All(numbers.SelectMany(n => (int[])[n, n]).Zip(frames), p => Assert.Equal(times.Seconds[p.First], p.Second.Seconds, 1e-6));

        // One process takes them all; the slow way, a process a stretch, is not what gave the right ones above.
        FrameGroup<StoredFrame>[] groups = [.. numbers.Where(n => n != 75).Select(n => new FrameGroup<StoredFrame>([new(times.Seconds[n], 0.02, 0.02, times.IsKeyframe[n])]))];
        await new FrameGrab(clip, size: null, threads: 1).TryTogetherAsync(groups, f => f, cancel);
        Assert.All(groups, g => Assert.True(g.IsComplete));
        Assert.Equal(numbers.Where(n => n != 75), groups.Select(g => CountingClip.NumberOf(g.Taken[0]!.ToPicture())));
        var e = await Assert.ThrowsAsync<UnusableInputException>(() => FrameReader.GrabAsync(clip, [clip.DurationSeconds + 1], cancel));
        Assert.Contains("no frame", e.Message, StringComparison.Ordinal);
    }

    // A keyframe by itself is decoded without the frames after it; together with the next frame, with all. The numbers
    // come from the clip's making.
    [Theory]
    [InlineData("a.mp4", "libx264", "-preset", "veryfast", "-x264-params", Gop)]
    [InlineData("a.mkv", "libx264", "-preset", "veryfast", "-x264-params", Gop + ":bframes=8:b-pyramid=normal:b-adapt=0")]
    [InlineData("a.mov", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=error:keyint=24:min-keyint=24:bframes=3:open-gop=1")]
    [InlineData("a.mkv", "mpeg2video", "-bf", "2", "-g", "24", "-q:v", "2")]
    [InlineData("a.mkv", "libvpx-vp9", "-g", "24", "-deadline", "realtime", "-cpu-used", "8")]
    [InlineData("a.mov", "prores_ks")]
    public async Task Grab_KeyframesByThemselves_AreTheSamePictures(string name, string codec, params string[] options)
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        string path = CountingClip.Make(_folder.PathOf(name), 100, "24", ["-c:v", codec, .. options]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, cancel);
        FrameTimes times = await FrameTimes.ReadAsync(clip, cancel);
        // More than a second apart, so that each is a stretch of its own.
        int[] keys = [0, 48, 96];
        Assert.All(keys, k => Assert.True(times.IsKeyframe[k]));
        IReadOnlyList<GrabbedFrame> alone = await FrameReader.GrabAsync(clip, [.. keys.Select(k => times.Seconds[k])], cancel);
        Assert.Equal(keys, alone.Select(f => CountingClip.NumberOf(f.Picture)));
        IReadOnlyList<GrabbedFrame> withNext = await FrameReader.GrabAsync(clip, [.. keys.SelectMany(k => (double[])[times.Seconds[k], times.Seconds[k + 1]])], cancel);
        Assert.All(keys.Index(), k =>
        {
            Assert.True(alone[k.Index].Picture.G.SequenceEqual(withNext[2 * k.Index].Picture.G));
            Assert.Equal(k.Item + 1, CountingClip.NumberOf(withNext[(2 * k.Index) + 1].Picture));
        });
    }

    [Fact]
    public void Beside_AFrame_IsDecodedOnTheWayToIt()
    {
        FrameTimes longGroups = new([0, 1, 2, 3, 4], [true, false, false, true, false]), all = new([0, 1, 2], [true, true, true]);
        Assert.Equal([null, 0, 1, null, 3], Enumerable.Range(0, 5).Select(longGroups.Beside));
        Assert.Equal([1, 2, null], Enumerable.Range(0, 3).Select(all.Beside));
    }

    [Fact]
    public async Task Grab_ClipCutWithoutReencoding_CountsFromTheFirstFrameShown()
    {
        string whole = CountingClip.Make(_folder.PathOf("whole.mp4"), 100, "25", "-c:v", "libx264", "-preset", "veryfast", "-x264-params", Gop);
        string cut = _folder.PathOf("cut.mp4");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-ss", "1.5", "-i", "file:" + whole, "-c", "copy", "file:" + cut]);
        ClipInfo clip = await ClipProbe.ProbeAsync(cut, TestContext.Current.CancellationToken);
        var frames = await FrameReader.GrabAsync(clip, [0, 1.0], TestContext.Current.CancellationToken);
        // The cut keeps the frames from the keyframe before, and an edit list that hides them: 1.5 s is frame 37 or 38.
        int first = CountingClip.NumberOf(frames[0].Picture);
        Assert.InRange(first, 37, 38);
        Assert.Equal(first + 25, CountingClip.NumberOf(frames[1].Picture));
    }

    [Fact]
    public async Task Grab_OutsideTheClip_SaysHowLongItIs()
    {
        string path = CountingClip.Make(_folder.PathOf("a.mp4"), 50, "25", "-c:v", "libx264", "-preset", "ultrafast");
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        foreach (double wrong in (double[])[-0.1, 2.05, 100, double.NaN])
        {
            var e = await Assert.ThrowsAsync<UnusableInputException>(() => FrameReader.GrabAsync(clip, [0.5, wrong], TestContext.Current.CancellationToken));
            Assert.Contains("from 0 to 2 s", e.Message, StringComparison.Ordinal);
        }

        Assert.Equal(49, CountingClip.NumberOf((await FrameReader.GrabAsync(clip, [1.999], TestContext.Current.CancellationToken))[0].Picture));
    }

    private static async Task AssertFramesAsync(string path)
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        double[] times = CountingClip.DecodedTimes(path);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, cancel);
        FrameTimes read = await FrameTimes.ReadAsync(clip, cancel);
        Assert.Equal(times.Length, read.Count);
        Assert.All(times.Zip(read.Seconds.ToArray()), p => Assert.Equal(p.First - times[0], p.Second - read.Seconds[0], 5e-5));

        // Where the container has no times for its first frames, clip time 0 is a little before the first frame.
        double zeroTime = times[0] - read.Seconds[0];

        // On the frame's own time, just before the next, and in between; near and far from keyframes.
        List<(double At, int Number)> asked = [(0, 0)];
        foreach (int n in (int[])[1, 22, 23, 24, 25, 47, 55, times.Length - 2])
        {
            asked.Add((times[n] - zeroTime, n));
            asked.Add((times[n + 1] - zeroTime - 0.001, n));
        }

        asked.Reverse(2, 9);
        IReadOnlyList<GrabbedFrame> frames = await FrameReader.GrabAsync(clip, [.. asked.Select(a => a.At)], cancel);
        // The frames' numbers: a container may drop the first ones, so count from the first decoded.
        int zero = CountingClip.NumberOf(frames[0].Picture);
        Assert.Equal(asked.Select(a => a.Number + zero), frames.Select(f => CountingClip.NumberOf(f.Picture)));
        Assert.All(asked.Zip(frames), p => Assert.Equal(times[p.First.Number] - zeroTime, p.Second.Seconds, 5e-5));
    }
}
