using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Media.Rendering;
using Tonematch.Pictures;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Rendering;

public sealed class DriftRenderTests : IDisposable
{
    private static readonly Lut3D s_identity = Lut3D.Identity(33);

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // Every frame's own value of the course: a step between frames 24 and 25 must not reach its neighbour.
    private static readonly DriftTrack s_course = new(
    [
        new DriftPoint(0, new(-0.4, 0, 0)), new DriftPoint(0.96, new(0.5, 20, 0)), new DriftPoint(1, new(-0.2, -30, 0.1)), new DriftPoint(1.96, new(0.3, 0, 0)),
    ]);

    [Theory]
    [InlineData("yuv420p", "bt709", "a.mp4", false)]
    [InlineData("yuv422p10le", "smpte2084", "a.mov", false)]
    [InlineData("yuv420p10le", "arib-std-b67", "a.mkv", false)]
    [InlineData("yuv420p", "bt709", "b.mkv", true)]
    public async Task Render_ClipWithACourse_TakesEveryFramesOwnValueOut(string format, string transfer, string output, bool sideBySide)
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(Grey(format, transfer, "fps=25"), TestContext.Current.CancellationToken);
        RenderResult result = await ClipRenderer.RenderAsync(
            clip, s_identity, _folder.PathOf(output), new RenderOptions { Quality = 0, Drift = s_course, SideBySide = sideBySide }, null, TestContext.Current.CancellationToken);
        double codes = 219 * (1 << (result.Clip.BitDepth - 8));
        int[] frames = [0, 1, 12, 23, 24, 25, 26, 40, 49];
        var before = await FrameReader.GrabAsync(clip, [.. frames.Select(f => f / 25.0)], TestContext.Current.CancellationToken);
        var after = await FrameReader.GrabAsync(result.Clip, [.. frames.Select(f => f / 25.0)], TestContext.Current.CancellationToken);
        for (int k = 0; k < frames.Length; k++)
        {
            CodeRgb expected = s_course.At(frames[k] / 25.0).TakeOutOf(Middle(before[k].Picture, 0.5), clip.Encoding).Clamped();
            CodeRgb found = Middle(after[k].Picture, sideBySide ? 0.75 : 0.5);
            double worst = Math.Max(Math.Abs(found.R - expected.R), Math.Max(Math.Abs(found.G - expected.G), Math.Abs(found.B - expected.B)));
            Assert.True(worst * codes < 2.2, $"frame {frames[k]}: {found} in place of {expected}, {worst * codes:0.0} codes");
        }
    }

    [Fact]
    public async Task Render_VariableRate_FollowsTheCourseByTheFramesOwnTimes()
    {
        // Frames come at 0, 0.04, 0.2, 0.24, 0.4 ... seconds.
        ClipInfo clip = await ClipProbe.ProbeAsync(Grey("yuv420p", "bt709", "settb=1/1000,setpts='(floor(N/2)*0.2+0.04*mod(N,2))/TB'", "-fps_mode", "passthrough", "-enc_time_base", "1:1000"), TestContext.Current.CancellationToken);
        DriftTrack wave = new([.. Enumerable.Range(0, 60).Select(k => new DriftPoint(k * 0.1, new(0.5 * Math.Sin(k * 0.1 * 2), 0, 0)))]);
        RenderResult result = await ClipRenderer.RenderAsync(clip, s_identity, _folder.PathOf("v.mkv"), new RenderOptions { Quality = 0, Drift = wave }, null, TestContext.Current.CancellationToken);
        Assert.Equal(CountingClip.DecodedTimes(clip.Path).Length, CountingClip.DecodedTimes(result.Clip.Path).Length);
        double[] at = [0.2, 0.24, 1.0, 1.04, 3.2, 4.44];
        var before = await FrameReader.GrabAsync(clip, at, TestContext.Current.CancellationToken);
        var after = await FrameReader.GrabAsync(result.Clip, at, TestContext.Current.CancellationToken);
        for (int k = 0; k < at.Length; k++)
        {
            double expected = wave.At(at[k]).TakeOutOf(Middle(before[k].Picture, 0.5), clip.Encoding).G;

            // A stop a second, and a table every 13 ms.
            Assert.Equal(expected, Middle(after[k].Picture, 0.5).G, 0.008);
        }
    }

    [Fact]
    public async Task Render_CourseOfNothing_IsTheSameAsNone()
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(Grey("yuv420p", "bt709", "fps=25"), TestContext.Current.CancellationToken);
        foreach (DriftTrack? track in new[] { null, new DriftTrack([new DriftPoint(0, DriftValue.None)]) })
        {
            await ClipRenderer.RenderAsync(clip, s_identity, _folder.PathOf(track is null ? "none.mkv" : "zero.mkv"), new RenderOptions { Quality = 0, Drift = track }, null, TestContext.Current.CancellationToken);
        }

        byte[] Raw(string name) => ExternalTool.Ffmpeg().Run(["-v", "error", "-i", _folder.PathOf(name), "-f", "rawvideo", "-pix_fmt", "yuv420p", "-"]);
        byte[] one = Raw("none.mkv"), two = Raw("zero.mkv");
        Assert.Equal(one.Length, two.Length);
        Assert.True(one.Zip(two).All(p => Math.Abs(p.First - p.Second) <= 1));
    }

    [Fact]
    public async Task Render_CancelledInTheMiddle_LeavesNothingBehind()
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(Grey("yuv420p", "bt709", "fps=25"), TestContext.Current.CancellationToken);
        using CancellationTokenSource stop = new();
        await stop.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => ClipRenderer.RenderAsync(
            clip, s_identity, _folder.PathOf("c.mkv"), new RenderOptions { Drift = s_course }, null, stop.Token));
        Assert.False(File.Exists(_folder.PathOf("c.mkv")));
    }

    // A grey-brown field of two seconds, a little brighter from frame to frame, so that a frame shown late is seen.
    private string Grey(string format, string transfer, string filter, params string[] output)
    {
        string path = _folder.PathOf($"source-{transfer}.mkv");
        string primaries = transfer == "bt709" ? "bt709" : "bt2020", matrix = transfer == "bt709" ? "bt709" : "bt2020nc";
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-y", "-f", "lavfi", "-i", "color=c=0x806A50:s=96x64:r=25:d=2",
                "-vf", $"format={format},geq=lum='lum(X,Y)+N/8':cb='cb(X,Y)':cr='cr(X,Y)',{filter}", "-c:v", "ffv1", "-pix_fmt", format,
                "-colorspace", matrix, "-color_primaries", primaries, "-color_trc", transfer, "-color_range", "tv", .. output, "file:" + path,
            ]);
        return path;
    }

    private static CodeRgb Middle(Picture picture, double across)
    {
        int x0 = (int)(picture.Width * across) - 8, y0 = (picture.Height / 2) - 8;
        double r = 0, g = 0, b = 0;
        for (int y = y0; y < y0 + 16; y++)
        {
            for (int x = x0; x < x0 + 16; x++)
            {
                CodeRgb c = picture[x, y];
                (r, g, b) = (r + c.R, g + c.G, b + c.B);
            }
        }

        return new CodeRgb(r / 256, g / 256, b / 256);
    }
}
