using System.Collections.Concurrent;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Clips;

public sealed class ClipProbeTests : IDisposable
{
    // Made once for all the odd names.
    private static readonly ConcurrentDictionary<string, Lazy<byte[]>> s_plain = new();

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // EBU Tech 3285: the time reference of a Broadcast Wave counts samples since midnight.
    [Fact]
    public async Task ProbeClipOrSound_RecordersFile_SaysHowLongItIsAndWhenItBegan()
    {
        string path = _folder.PathOf("recorder.wav");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "sine=d=1.5:r=48000", "-metadata", "time_reference=172800000", "-write_bext", "1", path]);
        ClipInfo sound = await ClipProbe.ProbeClipOrSoundAsync(path, TestContext.Current.CancellationToken);
        Assert.False(sound.HasPictures);
        Assert.Equal(1.5, sound.DurationSeconds, 3);
        Assert.Equal(48000, sound.FrameRate.Value);
        Assert.Equal(3600, sound.TimeReferenceSeconds!.Value, 6);
        Assert.Single(sound.AudioTracks);

        // Where pictures are needed it is refused as before.
        UnusableInputException e = await Assert.ThrowsAsync<UnusableInputException>(() => ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken));
        Assert.Contains("only sound", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Probe_ClipThatNamesItsCameraAndDate_SaysBoth()
    {
        string path = _folder.PathOf("dated.mov");
        ExternalTool.Ffmpeg().Run(
            ["-v", "error", "-f", "lavfi", "-i", "color=s=64x64:d=0.2", "-metadata", "creation_time=2026-11-28T20:15:00Z", "-metadata", "make=Maker", "-metadata", "model=One", "-movflags", "use_metadata_tags", path]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        Assert.Equal(new DateTimeOffset(2026, 11, 28, 20, 15, 0, TimeSpan.Zero), clip.RecordedAt);
        Assert.Equal("Maker One", clip.Device);
        Assert.True(clip.HasPictures);
    }

    // What SOURCES.md of the test data says of the two real clips.
    [Theory]
    [InlineData("video/flower.mp4", 960, 540, 30000, 1001, 5.005)]
    [InlineData("video/stream.mp4", 480, 360, 30000, 1001, 3.0)]
    public async Task Probe_RealClips_AreReadAsTagged(string file, int width, int height, int rate, int per, double duration)
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(SharedData.Require(file), TestContext.Current.CancellationToken);
        Assert.Equal((width, height), (clip.Width, clip.Height));
        Assert.Equal(6, clip.Matrix.Code);
        Assert.Equal(SignalRange.Limited, clip.Range);
        Assert.Equal(ChromaLocation.Left, clip.ChromaLocation);
        Assert.Equal("4:2:0", clip.ChromaSubsampling);
        Assert.Equal((double)rate / per, clip.FrameRate.Value, 0.05);
        Assert.Equal(duration, clip.DurationSeconds, 0.1);
        Assert.Single(clip.AudioTracks);
        Assert.Same(SignalEncoding.Bt709, clip.Encoding);
        Assert.False(clip.IsStillImage);
        Assert.DoesNotContain(clip.Assumptions, a => a.Contains("which matrix", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("yuv420p", "bt709", "bt709", "bt709", "tv", 1, SignalRange.Limited, "bt709", 8)]
    [InlineData("yuv420p", "bt709", "bt709", "bt709", "pc", 1, SignalRange.Full, "bt709", 8)]
    [InlineData("yuv422p10le", "bt709", "bt709", "bt709", "tv", 1, SignalRange.Limited, "bt709", 10)]
    [InlineData("yuv420p10le", "bt2020nc", "bt2020", "arib-std-b67", "tv", 9, SignalRange.Limited, "hlg", 10)]
    [InlineData("yuv420p10le", "bt2020nc", "bt2020", "smpte2084", "tv", 9, SignalRange.Limited, "pq", 10)]
    [InlineData("yuv420p10le", "bt2020nc", "bt2020", "bt2020-10", "tv", 9, SignalRange.Limited, "bt2020", 10)]
    [InlineData("yuv420p", "bt709", "smpte432", "bt709", "tv", 1, SignalRange.Limited, "display-p3", 8)]
    [InlineData("yuv420p", "bt709", "bt709", "iec61966-2-1", "pc", 1, SignalRange.Full, "srgb", 8)]
    [InlineData("yuv420p", "smpte170m", "bt470bg", "smpte170m", "tv", 6, SignalRange.Limited, "bt709", 8)]
    public async Task Probe_TaggedClip_ObeysTheTags(
        string format, string matrix, string primaries, string transfer, string range, int matrixCode, SignalRange expectedRange, string encoding, int bits)
    {
        string path = Make("tagged.mp4", 160, 90, [
            "-vf", $"format={format},{FfmpegSpelling.Tags(matrix, primaries, transfer, range)}", "-c:v", "libx264", "-preset", "ultrafast"]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        Assert.Equal(matrixCode, clip.Matrix.Code);
        Assert.Equal(expectedRange, clip.Range);
        Assert.Equal(encoding, clip.Encoding.Name);
        Assert.Equal(bits, clip.BitDepth);
        Assert.Equal(encoding is "hlg" or "pq", clip.IsHdr);
        Assert.DoesNotContain(clip.Assumptions, a => a.Contains("does not say", StringComparison.Ordinal));
    }

    // Common practice of players, stated in docs/method/media.md.
    [Theory]
    [InlineData(720, 576, 6)]
    [InlineData(960, 540, 6)]
    [InlineData(1280, 720, 1)]
    [InlineData(720, 1280, 1)]
    public async Task Probe_UntaggedClip_AssumesByTheStatedRuleAndSaysSo(int width, int height, int matrixCode)
    {
        string path = Make("untagged.mp4", width, height, ["-c:v", "libx264", "-preset", "ultrafast", "-bsf:v", "h264_metadata=video_full_range_flag=0"]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        Assert.Equal(matrixCode, clip.Matrix.Code);
        Assert.Same(SignalEncoding.Bt709, clip.Encoding);
        Assert.Contains(clip.Assumptions, a => a.Contains("which matrix", StringComparison.Ordinal)
            && a.Contains(string.Create(CultureInfo.InvariantCulture, $"{width}x{height}"), StringComparison.Ordinal));
        Assert.Contains(clip.Assumptions, a => a.Contains("which colours it uses", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(90, Orientation.Anticlockwise90)]
    [InlineData(180, Orientation.Turned180)]
    [InlineData(270, Orientation.Clockwise90)]
    public async Task Grab_TurnedClip_StandsUprightAsFfmpegTurnsIt(int rotate, Orientation orientation)
    {
        string flat = Make("flat.mp4", 160, 90, ["-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p"]);
        string turned = _folder.PathOf("turned.mp4");
        FfmpegSpelling.CopyTurned(flat, rotate, turned);
        ClipInfo clip = await ClipProbe.ProbeAsync(turned, TestContext.Current.CancellationToken);
        byte[] expected = ExternalTool.Ffmpeg().Run(["-v", "error", "-i", "file:" + turned, "-frames:v", "1", "-vf", "extractplanes=y", "-f", "rawvideo", "pipe:1"]);
        Assert.Equal(expected.Length, clip.Width * clip.Height);
        var picture = (await FrameReader.GrabAsync(clip, [0], TestContext.Current.CancellationToken))[0].Picture;
        Assert.Equal((clip.Width, clip.Height), (picture.Width, picture.Height));
        for (int i = 0; i < expected.Length; i += 7)
        {
            // Luma of the picture, back from R'G'B' (BT.601 here: 160x90, untagged).
            double y = (0.299 * picture.R[i]) + (0.587 * picture.G[i]) + (0.114 * picture.B[i]);
            Assert.Equal(expected[i], 16 + (219 * y), 0.01);
        }

        Assert.Equal(orientation, clip.Orientation);
    }

    [Fact]
    public async Task Probe_VariableRateTimecodeInterlacedAspect_AreSeen()
    {
        string variable = CountingClip.Make(
            _folder.PathOf("v.mp4"), 60, "30", ["-vf", "settb=1/90000,setpts='(N/30+0.3*floor(N/7))/TB'", .. FfmpegSpelling.PassEveryFrame, "-enc_time_base", "1:90000", "-c:v", "libx264", "-preset", "ultrafast"]);
        ClipInfo v = await ClipProbe.ProbeAsync(variable, TestContext.Current.CancellationToken);
        Assert.True(v.IsVariableRate);

        string timecode = Make("t.mov", 720, 576, ["-c:v", "mpeg2video", "-vf", "setfield=tff", "-flags", "+ilme+ildct", "-timecode", "10:11:12:13", "-aspect", "16:9"]);
        ClipInfo t = await ClipProbe.ProbeAsync(timecode, TestContext.Current.CancellationToken);
        Assert.False(t.IsVariableRate);
        Assert.Equal("10:11:12:13", t.Timecode);
        Assert.True(t.IsInterlaced);
        Assert.Equal(64.0 / 45, t.SampleAspect.Value, 1e-6);
        Assert.Equal(25, t.FrameRate.Value);
        Assert.Contains(t.Assumptions, a => a.Contains("interlaced", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("spaces and (brackets) [1].mp4")]
    [InlineData(" leading and trailing .mp4")]
    [InlineData("quote ' and \" both.mp4")]
    [InlineData("a:b,c;d.mp4")]
    [InlineData("concat:x.mkv")]
    [InlineData("file%03d.mp4")]
    [InlineData("%n %s.mp4")]
    [InlineData("-dash first.mp4")]
    [InlineData("back\\slash.mp4")]
    [InlineData("dollar$HOME `id` & | > #.mp4")]
    [InlineData("tab\tand\nline.mp4")]
    [InlineData("Blüte 花 🌸.mp4")]
    [InlineData("{braces}=equals*star?.mp4")]
    [InlineData("photo-%02d.png")]
    public async Task Probe_OddFileNames_AreReadAsTheyStand(string name)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows() && name.IndexOfAny(Path.GetInvalidFileNameChars()) >= 0, "no such name on this system");
        string path = _folder.PathOf(name);
        File.WriteAllBytes(path, s_plain.GetOrAdd(name[^3..], kind => new(() => File.ReadAllBytes(
            Make("plain." + kind, 32, 24, kind == "png" ? ["-frames:v", "1"] : ["-c:v", "mpeg4", "-frames:v", "3"])))).Value);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        Assert.Equal((32, 24), (clip.Width, clip.Height));
        Assert.Equal(32, (await FrameReader.GrabAsync(clip, [0], TestContext.Current.CancellationToken))[0].Picture.Width);
    }

    internal string Make(string name, int width, int height, string[] output)
    {
        string path = _folder.PathOf(name);
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-y", "-f", "lavfi", "-i", string.Create(CultureInfo.InvariantCulture, $"testsrc2=s={width}x{height}:r=25:d=0.2"),
                .. output, "file:" + path,
            ]);
        return path;
    }
}
