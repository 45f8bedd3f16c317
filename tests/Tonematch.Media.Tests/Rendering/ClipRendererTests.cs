using System.Globalization;
using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Media.Rendering;
using Tonematch.Pictures;
using Tonematch.Sync;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Rendering;

public sealed class ClipRendererTests : IDisposable
{
    // A warm, brighter look inside the cube: no clipping anywhere on the test pictures.
    private static readonly Lut3D s_look = Lut3D.FromFunction(17, c => new CodeRgb(
        (0.06 + (0.9 * c.R)) - (0.1 * c.R * (1 - c.R)), 0.03 + (0.86 * c.G) + (0.02 * c.R), 0.05 + (0.8 * c.B) + (0.04 * c.G * c.B)));

    private static readonly int[] s_frames = [0, 24, 49];

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // The rendered clip against the LUT computed in double precision on the frames read from the original. Quality 0 is
    // (nearly) lossless: what remains is the rounding to codes (1 with ordered dither), and 4:2:0 chroma at edges, of
    // which the smooth picture has none. The mean difference shows bias and banding's cause: cut-off codes.
    [Theory]
    [InlineData("yuv420p", "bt709", "tv", 8, "a.mp4")]
    [InlineData("yuv420p", "smpte170m", "tv", 8, "a.mov")]
    [InlineData("yuv420p", "bt709", "pc", 8, "a.mkv")]
    [InlineData("yuv420p10le", "bt2020nc", "tv", 10, "a.mp4")]
    [InlineData("yuv422p10le", "bt709", "tv", 10, "a.mov")]
    public async Task Render_SmoothPicture_EqualsTheLutWithinACode(string format, string matrix, string range, int bits, string output)
    {
        string path = Smooth("source.mkv", 192, 108, ["-vf", $"format={format},{(matrix == "bt2020nc" ? FfmpegSpelling.Tags(matrix, "bt2020", "arib-std-b67", range) : FfmpegSpelling.Tags(matrix, "bt709", "bt709", range))}"]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        RenderResult result = await ClipRenderer.RenderAsync(
            clip, s_look, _folder.PathOf(output), new RenderOptions { Quality = 0 }, null, TestContext.Current.CancellationToken);
        Assert.Equal(bits, result.Clip.BitDepth);
        Assert.Equal(clip.Matrix, result.Clip.Matrix);
        Assert.Equal(clip.Range, result.Clip.Range);
        Assert.Equal(clip.Transfer, result.Clip.Transfer);
        Assert.Equal(clip.Primaries, result.Clip.Primaries);
        Assert.Equal(clip.ChromaSubsampling, result.Clip.ChromaSubsampling);
        Assert.Empty(result.Notes);

        Picture before = await FirstAsync(clip), after = await FirstAsync(result.Clip);
        double codes = 219 * (1 << (bits - 8)), worst = 0, bias = 0;
        for (int y = 2; y < before.Height - 2; y++)
        {
            for (int x = 2; x < before.Width - 2; x++)
            {
                CodeRgb expected = LutInterpolation.Tetrahedral(s_look, before[x, y]);
                double d = Luma(after[x, y]) - Luma(expected);
                worst = Math.Max(worst, Math.Abs(d) * codes);
                bias += d * codes;
            }
        }

        bias /= before.Width * before.Height;
        // H.265 has no lossless mode at quality 0: a code or two more in 10 bits.
        Assert.True(worst < (bits == 8 ? 1.3 : 4), $"worst luma error {worst} codes");
        Assert.True(Math.Abs(bias) < 0.05, $"luma bias {bias} codes");

        static double Luma(CodeRgb c) => (0.25 * c.R) + (0.65 * c.G) + (0.1 * c.B);
    }

    [Fact]
    public async Task Render_VariableRateRotatedClip_KeepsTimesRotationSoundAndMetadata()
    {
        string flat = CountingClip.Make(
            _folder.PathOf("flat.mp4"), 60, "30", ["-f", "lavfi", "-i", "sine=f=440:d=3", "-f", "lavfi", "-i", "sine=f=880:d=3", "-map", "0", "-map", "1", "-map", "2",
            "-vf", "settb=1/90000,setpts='(N/30+0.13*floor(N/7)+0.007*mod(N,3))/TB'", .. FfmpegSpelling.PassEveryFrame, "-enc_time_base", "1:90000",
            "-c:v", "libx264", "-preset", "ultrafast", "-c:a", "aac", "-metadata", "title=Glazing a bowl", "-metadata", "creation_time=2026-05-04T10:11:12Z"]);
        string source = _folder.PathOf("turned.mp4");
        FfmpegSpelling.CopyTurned(flat, 90, source);
        ClipInfo clip = await ClipProbe.ProbeAsync(source, TestContext.Current.CancellationToken);
        RenderResult result = await ClipRenderer.RenderAsync(
            clip, Lut3D.Identity(2), _folder.PathOf("out.mp4"), new RenderOptions(), null, TestContext.Current.CancellationToken);
        Assert.NotEqual(Orientation.Upright, clip.Orientation);
        Assert.Equal(clip.Orientation, result.Clip.Orientation);
        Assert.True(result.Clip.IsVariableRate);
        Assert.Equal(2, result.Clip.AudioTracks.Length);
        FrameTimes before = await FrameTimes.ReadAsync(clip, TestContext.Current.CancellationToken), after = await FrameTimes.ReadAsync(result.Clip, TestContext.Current.CancellationToken);
        Assert.Equal(before.Count, after.Count);
        Assert.All(before.Seconds.ToArray().Zip(after.Seconds.ToArray()), p => Assert.Equal(p.First, p.Second, 2e-5));
        Assert.Equal(clip.AudioTracks[0].StartSeconds, result.Clip.AudioTracks[0].StartSeconds, 0.002);
        var frames = await FrameReader.GrabAsync(result.Clip, [before.Seconds[41]], TestContext.Current.CancellationToken);
        var original = await FrameReader.GrabAsync(clip, [before.Seconds[41]], TestContext.Current.CancellationToken);
        Assert.Equal(original[0].Picture.Width, frames[0].Picture.Width);
        for (int i = 0; i < original[0].Picture.G.Length; i += 11)
        {
            // Compressed at the default quality: hard block edges ring by some codes.
            Assert.Equal(original[0].Picture.G[i], frames[0].Picture.G[i], 0.1);
        }

        string tags = System.Text.Encoding.UTF8.GetString(ExternalTool.RequireProgram("ffprobe").Run(["-v", "error", "-show_entries", "format_tags", _folder.PathOf("out.mp4")]));
        Assert.Contains("title=Glazing a bowl", tags, StringComparison.Ordinal);
        Assert.Contains("creation_time=2026-05-04T10:11:12", tags, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Render_TransportStreamWithLateSound_KeepsTheDistance()
    {
        string path = _folder.PathOf("a.ts");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "testsrc2=s=64x48:r=25:d=1", "-itsoffset", "0.2", "-f", "lavfi", "-i", "sine=d=0.7", "-c:v", "libx264", "-preset", "ultrafast", "-c:a", "aac", path]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        RenderResult result = await ClipRenderer.RenderAsync(clip, Lut3D.Identity(2), _folder.PathOf("a.mp4"), new RenderOptions(), null, TestContext.Current.CancellationToken);
        Assert.Equal(clip.AudioTracks[0].StartSeconds, result.Clip.AudioTracks[0].StartSeconds, 0.002);
        Assert.Equal(25, (await FrameTimes.ReadAsync(result.Clip, TestContext.Current.CancellationToken)).Count);
    }

    [Fact]
    public async Task Render_SoundThatMp4CannotHold_IsWrittenAsAacAndSaid()
    {
        string path = _folder.PathOf("pcm.mov");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "testsrc2=s=64x48:r=25:d=0.2", "-f", "lavfi", "-i", "sine=d=0.2", "-c:v", "libx264", "-c:a", "pcm_s16le", path]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        RenderResult mp4 = await ClipRenderer.RenderAsync(clip, Lut3D.Identity(2), _folder.PathOf("a.mp4"), new RenderOptions(), null, TestContext.Current.CancellationToken);
        Assert.Equal("aac", mp4.Clip.AudioTracks[0].Codec);
        Assert.Contains("AAC", Assert.Single(mp4.Notes), StringComparison.Ordinal);
        RenderResult mov = await ClipRenderer.RenderAsync(clip, Lut3D.Identity(2), _folder.PathOf("a.mov"), new RenderOptions(), null, TestContext.Current.CancellationToken);
        Assert.Equal("pcm_s16le", mov.Clip.AudioTracks[0].Codec);
        Assert.Empty(mov.Notes);
    }

    [Fact]
    public async Task Render_OtherEncoding_TagsWhatComesOut()
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(Smooth("a.mkv", 64, 48, ["-vf", "format=yuv420p," + FfmpegSpelling.TagsBt709]), TestContext.Current.CancellationToken);
        RenderResult result = await ClipRenderer.RenderAsync(
            clip, Lut3D.Identity(2), _folder.PathOf("a.mov"), new RenderOptions { OutputEncoding = SignalEncoding.Hlg, Codec = RenderCodec.ProRes }, null, TestContext.Current.CancellationToken);
        Assert.Same(SignalEncoding.Hlg, result.Clip.Encoding);
        Assert.Equal(9, result.Clip.Matrix.Code);
        Assert.Equal("prores", result.Clip.Codec);
    }

    // Source of the figures read back: ffprobe. The primaries are those of P3 with D65 white as SMPTE ST 2086 files carry them.
    // ProRes carries them from FFmpeg 7 on: what is said must be what is in the file.
    [Theory]
    [InlineData("hdr.mp4", RenderCodec.Automatic, true)]
    [InlineData("hdr.mov", RenderCodec.ProRes, null)]
    public async Task Render_HdrClip_KeepsItsMasteringFiguresOrSaysThatItCannot(string name, RenderCodec codec, bool? keeps)
    {
        const string figures = "master-display=G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50):max-cll=1000,400";
        string path = _folder.PathOf("source.mp4");
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=128x96:r=25:d=0.2", "-vf", "format=yuv420p10le," + FfmpegSpelling.Tags("bt2020nc", "bt2020", "smpte2084"),
                "-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=error:" + figures, path,
            ]);
        RenderResult result = await ClipRenderer.RenderAsync(
            await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken), Lut3D.Identity(2), _folder.PathOf(name), new RenderOptions { Codec = codec }, null,
            TestContext.Current.CancellationToken);
        Assert.Same(SignalEncoding.Pq, result.Clip.Encoding);
        Assert.Equal(10, result.Clip.BitDepth);
        string read = System.Text.Encoding.UTF8.GetString(ExternalTool.RequireProgram("ffprobe").Run(["-v", "error", "-read_intervals", "%+#1", "-show_frames", "-of", "compact", _folder.PathOf(name)]));
        bool kept = read.Contains("red_x=34000/50000", StringComparison.Ordinal) && read.Contains("max_luminance=10000000/10000", StringComparison.Ordinal)
            && read.Contains("max_content=1000", StringComparison.Ordinal) && read.Contains("max_average=400", StringComparison.Ordinal);
        Assert.Equal(keeps ?? kept, kept);
        Assert.Equal(!kept, result.Notes.Any(n => n.Contains("HDR figures", StringComparison.Ordinal)));
    }

    // From FFmpeg 7 on they would travel with the frames into a file for which they are not true.
    [Fact]
    public async Task Render_HdrClipToAnSdrEncoding_LeavesNoMasteringFigures()
    {
        string path = _folder.PathOf("source.mp4");
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=128x96:r=25:d=0.2", "-vf", "format=yuv420p10le," + FfmpegSpelling.Tags("bt2020nc", "bt2020", "smpte2084"),
                "-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=error:master-display=G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50):max-cll=1000,400", path,
            ]);
        RenderResult result = await ClipRenderer.RenderAsync(
            await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken), Lut3D.Identity(2), _folder.PathOf("sdr.mp4"),
            new RenderOptions { OutputEncoding = SignalEncoding.Bt709, Codec = RenderCodec.H264 }, null, TestContext.Current.CancellationToken);
        Assert.Same(SignalEncoding.Bt709, result.Clip.Encoding);
        string read = System.Text.Encoding.UTF8.GetString(ExternalTool.RequireProgram("ffprobe").Run(["-v", "error", "-show_streams", "-show_frames", "-of", "compact", _folder.PathOf("sdr.mp4")]));
        Assert.DoesNotContain("red_x", read, StringComparison.Ordinal);
        Assert.DoesNotContain("max_content", read, StringComparison.Ordinal);
        Assert.Contains(result.Notes, n => n.Contains("not HDR", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Render_SideBySide_HasTheClipLeftAndTheCorrectionRight()
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(Smooth("a.mkv", 96, 64, ["-pix_fmt", "yuv420p", "-colorspace", "bt709"]), TestContext.Current.CancellationToken);
        RenderResult result = await ClipRenderer.RenderAsync(
            clip, s_look, _folder.PathOf("a.mp4"), new RenderOptions { SideBySide = true, Quality = 0 }, null, TestContext.Current.CancellationToken);
        Assert.Equal((192, 64), (result.Clip.Width, result.Clip.Height));
        Picture before = await FirstAsync(clip), both = await FirstAsync(result.Clip);
        for (int x = 3; x < 93; x += 5)
        {
            CodeRgb corrected = LutInterpolation.Tetrahedral(s_look, before[x, 30]);
            Assert.Equal(before[x, 30].G, both[x, 30].G, 0.012);
            Assert.Equal(corrected.G, both[96 + x, 30].G, 0.012);
            Assert.Equal(corrected.R, both[96 + x, 30].R, 0.02);
        }
    }

    [Theory]
    [InlineData("o'dd \"name\" [1], a;b:c %03d.mp4")]
    [InlineData("-starts with dash.mov")]
    [InlineData("back\\slash = {x} #1 & | $HOME `id`.mkv")]
    [InlineData("Töpferei 陶芸 🏺.mp4")]
    public async Task Render_OddFileNames_AreWrittenAsTheyStand(string name)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows() && name.IndexOfAny(Path.GetInvalidFileNameChars()) >= 0, "no such name on this system");
        string odd = Path.Combine(Directory.CreateDirectory(_folder.PathOf("in " + name)).FullName, name);
        File.Copy(Smooth("a.mkv", 32, 24, []), odd);
        ClipInfo clip = await ClipProbe.ProbeAsync(odd, TestContext.Current.CancellationToken);
        await ClipRenderer.RenderAsync(clip, Lut3D.Identity(2), _folder.PathOf(name), new RenderOptions(), null, TestContext.Current.CancellationToken);
        Assert.Contains(_folder.PathOf(name), Directory.GetFiles(_folder.FullPath));
        Assert.DoesNotContain(Directory.GetFiles(_folder.FullPath), f => f.EndsWith(".part", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Render_Cancelled_LeavesNothingAndWhatExistsIsKept()
    {
        string path = _folder.PathOf("long.mp4");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "testsrc2=s=640x360:r=25:d=20", "-c:v", "libx264", "-preset", "ultrafast", path]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        using CancellationTokenSource stop = new();
        List<double> seen = [];
        Progress progress = new(p =>
        {
            seen.Add(p.Fraction);
            stop.Cancel();
        });
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() =>
            ClipRenderer.RenderAsync(clip, Lut3D.Identity(2), _folder.PathOf("out.mp4"), new RenderOptions(), progress, stop.Token));
        Assert.NotEmpty(seen);
        Assert.InRange(seen[0], 0, 0.999);
        Assert.Single(Directory.GetFileSystemEntries(_folder.FullPath));

        File.WriteAllText(_folder.PathOf("kept.mp4"), "mine");
        await Assert.ThrowsAsync<UnusableInputException>(() => ClipRenderer.RenderAsync(clip, Lut3D.Identity(2), _folder.PathOf("kept.mp4"), new RenderOptions(), null, TestContext.Current.CancellationToken));
        Assert.Equal("mine", File.ReadAllText(_folder.PathOf("kept.mp4")));
        await Assert.ThrowsAsync<UnusableInputException>(() => ClipRenderer.RenderAsync(clip, Lut3D.Identity(2), path, new RenderOptions { Force = true }, null, TestContext.Current.CancellationToken));
        await Assert.ThrowsAsync<UnusableInputException>(() => ClipRenderer.RenderAsync(clip, Lut3D.Identity(2), _folder.PathOf("out.xyz"), new RenderOptions(), null, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task CutTest_TwoClips_ShowEachInTurnAtSyncedInstants()
    {
        // Both count their frames at 25 a second; the secondary began 0.8 s earlier, so it is 20 frames ahead.
        string Clip(string name, int frames) => CountingClip.Make(_folder.PathOf(name), frames, "25", "-f", "lavfi", "-i", "sine=d=9", "-c:v", "libx264", "-preset", "ultrafast", "-qp", "8", "-c:a", "aac", "-shortest");
        ClipInfo primary = await ClipProbe.ProbeAsync(Clip("p.mp4", 200), TestContext.Current.CancellationToken);
        ClipInfo secondary = await ClipProbe.ProbeAsync(Clip("s.ts", 220), TestContext.Current.CancellationToken);
        RenderResult result = await CutTest.RenderAsync(
            primary, secondary, Lut3D.Identity(2), SyncFound.Given(0.8), _folder.PathOf("cut.mp4"), new CutTestOptions { StartSeconds = 1, DurationSeconds = 6, EverySeconds = 2 }, null,
            TestContext.Current.CancellationToken);
        Assert.Equal(6, result.Clip.DurationSeconds, 0.09);
        Assert.Single(result.Clip.AudioTracks);
        double[] at = [0.02, 1.5, 1.98, 2.02, 3.98, 4.02, 5.5];
        int[] expected = [.. at.Select(t => (int)Math.Floor(((t + 1) * 25) + (t % 4 >= 2 ? 20 : 0)))];
        var frames = await FrameReader.GrabAsync(result.Clip, at, TestContext.Current.CancellationToken);
        Assert.Equal(expected, frames.Select(f => CountingClip.NumberOf(f.Picture)));
    }

    // 25 against 30000/1001 frames a second. 1000 ppm over two minutes are 3.6 frames: ten times what clocks do in
    // that time, as much as they do in 20 minutes at 100 ppm.
    [Theory]
    [InlineData(0)]
    [InlineData(1000)]
    [InlineData(-1000)]
    public async Task CutTest_OtherRateAndDriftingClock_ShowsTheNearestFrameOfTheSyncedInstant(double driftPpm)
    {
        SyncFound sync = SyncFound.Given(1.234, driftPpm);
        const double start = 118, rate = 30000.0 / 1001;
        ClipInfo primary = await ClipProbe.ProbeAsync(CountingClip.Make(_folder.PathOf("p.mp4"), 3200, "25", "-c:v", "libx264", "-preset", "ultrafast", "-qp", "8"), TestContext.Current.CancellationToken);
        ClipInfo secondary = await ClipProbe.ProbeAsync(CountingClip.Make(_folder.PathOf("s.mp4"), 3900, "30000/1001", "-c:v", "libx264", "-preset", "ultrafast", "-qp", "8"), TestContext.Current.CancellationToken);
        RenderResult result = await CutTest.RenderAsync(
            primary, secondary, Lut3D.Identity(2), sync, _folder.PathOf("cut.mp4"), new CutTestOptions { StartSeconds = start, DurationSeconds = 8, EverySeconds = 2 }, null,
            TestContext.Current.CancellationToken);
        // The first and the last frame of every turn, and one amid.
        double[] at = [.. Enumerable.Range(0, 4).SelectMany(turn => s_frames.Select(frame => ((turn * 50) + frame + 0.5) / 25))];
        var frames = await FrameReader.GrabAsync(result.Clip, at, TestContext.Current.CancellationToken);
        for (int i = 0; i < at.Length; i++)
        {
            double primarySeconds = start + at[i] - (0.5 / 25);
            bool isPrimary = at[i] % 4 < 2;
            double expected = isPrimary ? primarySeconds * 25 : sync.SecondaryTime(primarySeconds) * rate;
            Assert.True(Math.Abs(CountingClip.NumberOf(frames[i].Picture) - expected) <= 0.5 + (isPrimary ? 0 : 0.03), $"{at[i]} s: frame {CountingClip.NumberOf(frames[i].Picture)}, expected {expected}");
        }
    }

    // Grey in both; the secondary's course rises by a stop in ten seconds and is taken out where the secondary is shown.
    [Fact]
    public async Task CutTest_WithADrift_TakesOutWhatTheSecondaryHadAtThatInstant()
    {
        string grey = _folder.PathOf("grey.mkv");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-y", "-f", "lavfi", "-i", "color=c=0x909090:s=96x64:r=25:d=10", "-c:v", "ffv1", "file:" + grey]);
        ClipInfo clip = await ClipProbe.ProbeAsync(grey, TestContext.Current.CancellationToken);
        DriftTrack track = new([new DriftPoint(0, DriftValue.None), new DriftPoint(10, new(1, 0, 0))]);
        RenderResult result = await CutTest.RenderAsync(
            clip, clip, Lut3D.Identity(2), SyncFound.Given(0.8), _folder.PathOf("cut.mp4"), new CutTestOptions { StartSeconds = 1, DurationSeconds = 6, EverySeconds = 2, Drift = track }, null,
            TestContext.Current.CancellationToken);
        Picture recorded = await FirstAsync(clip);
        CodeRgb code = new(recorded.R[0], recorded.G[0], recorded.B[0]);
        double[] at = [0.1, 2.1, 3.9, 4.1];
        var frames = await FrameReader.GrabAsync(result.Clip, at, TestContext.Current.CancellationToken);
        for (int i = 0; i < at.Length; i++)
        {
            CodeRgb expected = at[i] % 4 < 2 ? code : track.At(at[i] + 1 + 0.8).TakeOutOf(code, clip.Encoding);
            Assert.Equal(expected.G, frames[i].Picture.G[frames[i].Picture.G.Length / 2], 2.5 / 255);
        }
    }

    [Fact]
    public async Task CutTest_TurnedClipsOfOtherSizes_FillThePrimarysFrame()
    {
        string p = Smooth("p.mkv", 160, 90, []), s = Smooth("s.mp4", 120, 120, ["-c:v", "libx264"]);
        RenderResult result = await CutTest.RenderAsync(
            await ClipProbe.ProbeAsync(p, TestContext.Current.CancellationToken), await ClipProbe.ProbeAsync(s, TestContext.Current.CancellationToken),
            Lut3D.Identity(2), SyncFound.Given(0), _folder.PathOf("cut.mp4"), new CutTestOptions { EverySeconds = 0.4, DurationSeconds = 1 }, null, TestContext.Current.CancellationToken);
        Assert.Equal((160, 90), (result.Clip.Width, result.Clip.Height));

        // Untagged clips are taken for BT.709, and that is written: what another reader sees are its own words.
        string tags = System.Text.Encoding.UTF8.GetString(ExternalTool.RequireProgram("ffprobe").Run(
            ["-v", "error", "-select_streams", "v", "-show_entries", "stream=color_transfer,color_primaries", "-of", "default=noprint_wrappers=1", _folder.PathOf("cut.mp4")]));
        Assert.Contains("color_transfer=bt709", tags, StringComparison.Ordinal);
        Assert.Contains("color_primaries=bt709", tags, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => new CutTestOptions { EverySeconds = 0.3 });
        await Assert.ThrowsAsync<UnusableInputException>(async () => await CutTest.RenderAsync(
            await ClipProbe.ProbeAsync(p, TestContext.Current.CancellationToken), await ClipProbe.ProbeAsync(s, TestContext.Current.CancellationToken),
            Lut3D.Identity(2), SyncFound.Given(50), _folder.PathOf("cut2.mp4"), new CutTestOptions(), null, TestContext.Current.CancellationToken));
    }

    private static async Task<Picture> FirstAsync(ClipInfo clip) =>
        (await FrameReader.GrabAsync(clip, [0.04], TestContext.Current.CancellationToken))[0].Picture;

    private string Smooth(string name, int width, int height, string[] output)
    {
        string path = _folder.PathOf(name);
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-y", "-f", "lavfi", "-i",
                string.Create(CultureInfo.InvariantCulture, $"gradients=s={width}x{height}:c0=0x302010:c1=0xD0C0E0:c2=0x40B060:n=3:x0=0:y0=0:x1={width - 1}:y1={height - 1}:r=25:d=1:speed=0.00001"),
                "-c:v", "ffv1", .. output, "file:" + path,
            ]);
        return path;
    }

    private sealed class Progress(Action<RenderProgress> report) : IProgress<RenderProgress>
    {
        public void Report(RenderProgress value) => report(value);
    }
}
