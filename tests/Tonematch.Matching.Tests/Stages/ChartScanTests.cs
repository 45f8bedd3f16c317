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

    // A shows it from 1 to 3 s, B from 4 to 6 s, neither at the other's time.
    [Theory]
    [InlineData(1, 4, @"^Camera A shows it from 1\.\d\d to 2\.\d\d s of its clip, camera B from 4\.\d\d to 5\.\d\d s of its own, which is not the same moment: hold it into both pictures at once")]
    [InlineData(1, null, @"^Camera A shows it from 1\.\d\d to 2\.\d\d s, camera B nowhere\.$")]
    [InlineData(null, null, @"^Neither clip shows it anywhere\.$")]
    public async Task WhereShown_OfTwoClips_SaysWhatIsSeenWhere(int? inA, int? inB, string said)
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        (ClipInfo a, ClipInfo b) = (await ClipAsync("a.mp4", inA), await ClipAsync("b.mp4", inB));
        Assert.Matches(said, await ChartScan.WhereShownAsync(a, b, ChartReference.Chart24, TestContext.Current.CancellationToken));
    }

    private async Task<ClipInfo> ClipAsync(string name, int? shownFrom)
    {
        string chart = Drawn("chart.png", DrawnScene.Chart(0.8)), wall = Drawn("wall.png", DrawnScene.Tiles(1)), path = _folder.PathOf(name);
        double from = shownFrom ?? 100;
        ExternalTool.Ffmpeg().Run(
        [
            "-v", "error", "-loop", "1", "-framerate", "5", "-t", "7", "-i", "file:" + wall, "-loop", "1", "-framerate", "5", "-t", "7", "-i", "file:" + chart,
            "-filter_complex", FormattableString.Invariant($"[0][1]overlay=enable='between(t,{from},{from + 1.9})',format=yuv444p"),
            "-c:v", "libx264", "-preset", "ultrafast", "-crf", "10", "-g", "5", "file:" + path,
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
