using System.Collections.Immutable;
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

/// <summary>Clips whose correction changes with the light.</summary>
public sealed class StateRenderTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // Three corrections: as it is, darker from 0.8 s on, lighter from 1.4 s on; frames of 25 per second beside the changes.
    [Theory]
    [InlineData("mp4", false)]
    [InlineData("mkv", true)]
    public async Task Render_StatesOfTheLight_EachFrameHasItsOwnCorrection(string ending, bool wanders)
    {
        ClipInfo clip = await GreyAsync(ending);
        RenderOptions options = new() { Quality = 0, States = States(), Drift = wanders ? new DriftTrack([new DriftPoint(0, DriftValue.None)]) : null };
        RenderResult result = await ClipRenderer.RenderAsync(clip, Lut3D.Identity(2), _folder.PathOf($"out.{ending}"), options, null, TestContext.Current.CancellationToken);
        await FramesAreAsync(clip, result.Clip, [(0, 1), (19, 1), (20, 0.8), (34, 0.8), (35, 1.2), (49, 1.2)], 0);
    }

    [Fact]
    public async Task Render_StatesOnATimeline_GoByTheClipsOwnTime()
    {
        ClipInfo clip = await GreyAsync("mkv");
        RenderResult result = await AlignedRenderer.RenderAsync(
            Lut3D.Identity(2), _folder.PathOf("aligned.mkv"), new AlignedOptions(new AlignedPlace(clip, 1, 0), new Rational(25, 1), 100), new RenderOptions { Quality = 0, States = States() }, null, TestContext.Current.CancellationToken);
        await FramesAreAsync(clip, result.Clip, [(0, 1), (19, 1), (20, 0.8), (34, 0.8), (35, 1.2), (49, 1.2)], 25);
    }

    private static ImmutableArray<TimedLut> States() => [new(0, Times(1)), new(0.79, Times(0.8)), new(1.39, Times(1.2))];

    private static Lut3D Times(double gain) => Lut3D.FromFunction(17, c => new CodeRgb(gain * c.R, gain * c.G, gain * c.B));

    private static async Task FramesAreAsync(ClipInfo clip, ClipInfo result, (int Frame, double Gain)[] expected, int shift)
    {
        double own = Middle((await FrameReader.GrabAsync(clip, [0.5], TestContext.Current.CancellationToken))[0].Picture);
        var frames = await FrameReader.GrabAsync(result, [.. expected.Select(e => (e.Frame + shift) / 25.0)], TestContext.Current.CancellationToken);
        Assert.All(expected, (e, k) => Assert.Equal(e.Gain * own, Middle(frames[k].Picture), 2.2 / 219));
    }

    private static double Middle(Picture picture) => picture[picture.Width / 2, picture.Height / 2].G;

    private async Task<ClipInfo> GreyAsync(string ending)
    {
        string path = _folder.PathOf($"grey.{ending}");
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-y", "-f", "lavfi", "-i", "color=0x707070:s=96x64:r=25:d=2",
                "-vf", "scale=out_color_matrix=bt709:out_range=tv,format=yuv420p,setparams=range=tv:color_primaries=bt709:color_trc=bt709:colorspace=bt709",
                "-c:v", "libx264", "-preset", "ultrafast", "-qp", "4", path,
            ]);
        return await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
    }
}
