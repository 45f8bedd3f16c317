using Tonematch.Matching.Stages;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;
using Tonematch.Testing;
using Tonematch.Vision;
using Xunit;

namespace Tonematch.Matching.Tests.Stages;

/// <summary>Where clips show a chart, in clips of still pictures that are held for seconds.</summary>
public sealed class ChartScanTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task WhereShown_OfTwoClips_SaysWhatIsSeenWhere()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        CancellationToken cancel = TestContext.Current.CancellationToken;
        ClipInfo a = await ClipAsync("a.mp4", 0), b = await ClipAsync("b.mp4", 2), none = await ClipAsync("none.mp4", 100);
        Assert.Matches(
            @"^Camera A shows it from 0\.00 to 1\.00 s of its clip, camera B from 2\.00 to 3\.00 s of its own, which is not the same moment: show it to both cameras at once",
            await ChartScan.WhereShownAsync(a, b, ChartReference.Chart24, cancel));
        Assert.Equal("Camera A shows it from 0.00 to 1.00 s, camera B nowhere.", await ChartScan.WhereShownAsync(a, none, ChartReference.Chart24, cancel));
    }

    // Four seconds, the chart on a plain wall for two of them; a keyframe every second.
    private async Task<ClipInfo> ClipAsync(string name, double from)
    {
        string chart = Drawn("chart.png", DrawnScene.Chart(0.8)), wall = Drawn("wall.png", DrawnScene.Plain()), path = _folder.PathOf(name);
        ExternalTool.Ffmpeg().Run(
        [
            "-v", "error", "-loop", "1", "-framerate", "2", "-t", "4", "-i", "file:" + wall, "-loop", "1", "-framerate", "2", "-t", "4", "-i", "file:" + chart,
            "-filter_complex", FormattableString.Invariant($"[0][1]overlay=enable='between(t,{from},{from + 1.9})',format=yuv444p"),
            "-c:v", "libx264", "-preset", "ultrafast", "-crf", "10", "-g", "2", "file:" + path,
        ]);
        return await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
    }

    private string Drawn(string name, Picture picture)
    {
        string path = _folder.PathOf(name);
        PngFile.Write(path, picture, 8, force: true);
        return path;
    }
}
