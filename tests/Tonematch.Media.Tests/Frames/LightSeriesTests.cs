using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Sync.Light;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Frames;

public sealed class LightSeriesTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // A grey that steps from luma code 60 to 180 at 2 s, by construction (FFmpeg's geq).
    [Theory]
    [InlineData(0.0, 4.0, 100)]
    [InlineData(1.4, 2.0, 50)]
    public async Task Read_StepOfLight_IsAtItsTimeAndAsHigh(double from, double seconds, int frames)
    {
        string path = _folder.PathOf("step.mp4");
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-f", "lavfi", "-i", "color=black:s=320x180:r=25:d=4", "-vf", "format=gray,geq=lum='if(lt(T,1.99),60,180)',format=yuv420p",
                "-c:v", "libx264", "-preset", "ultrafast", "-qp", "4", "-g", "25", "file:" + path,
            ]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        IReadOnlyList<LightSample> series = await LightSeries.ReadAsync(clip, from, seconds, cancel: TestContext.Current.CancellationToken);
        Assert.Equal(frames, series.Count);
        Assert.Equal(from, series[0].Seconds, 0.001);
        LightSample step = series.First(s => s.Lightness > series[0].Lightness + 0.1);
        Assert.Equal(2.0, step.Seconds, 0.001);

        // Limited range: 120 of 255 codes become 120 of 219 or less, as the encoder's tags have it; no motion in either.
        Assert.InRange(step.Lightness - series[0].Lightness, 0.38, 120 / 219.0);
        Assert.All(series, s => Assert.InRange(s.Motion, 0, 0.01));
    }

    // A square that rests until 2 s and then runs, by construction.
    [Fact]
    public async Task Read_SquareThatBeginsToMove_ShowsMotionFromThenOn()
    {
        string path = _folder.PathOf("move.mp4");
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-f", "lavfi", "-i", "color=gray:s=320x180:r=25:d=4", "-vf", "geq=lum='if(between(X,20+max(0,T-2)*80,60+max(0,T-2)*80)*between(Y,60,100),220,60)':cb=128:cr=128",
                "-c:v", "libx264", "-preset", "ultrafast", "-qp", "10", "file:" + path,
            ]);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        IReadOnlyList<LightSample> series = await LightSeries.ReadAsync(clip, 0, 4, cancel: TestContext.Current.CancellationToken);
        Assert.Equal(series.Where(s => s.Seconds > 2.05).Min(s => s.Motion), series.OrderByDescending(s => s.Motion).Take(series.Count(s => s.Seconds > 2.05)).Min(s => s.Motion));
    }
}
