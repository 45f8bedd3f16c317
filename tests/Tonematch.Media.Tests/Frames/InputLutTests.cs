using Tonematch.Colour;
using Tonematch.Formats.Cube;
using Tonematch.Formats.Inputs;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Frames;

public sealed class InputLutTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // By every way in which frames become pictures; what a viewer converts itself stays as recorded.
    [Fact]
    public async Task EveryPicture_OfAClipWithAnInput_HasGoneThroughIt()
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        string path = CountingClip.Make(_folder.PathOf("a.mp4"), 12, "25", "-c:v", "libx264", "-preset", "veryfast");
        ClipInfo clip = await ClipProbe.ProbeAsync(path, cancel);
        ClipInfo through = clip with
        {
            InputLut = new InputLut("n.cube", new CubeFile(null, null, Lut3D.FromFunction(2, c => new CodeRgb(1 - c.R, 1 - c.G, 1 - c.B)))),
            Encoding = SignalEncoding.Bt2020,
        };
        Picture recorded = (await FrameReader.GrabAsync(clip, [0.2], cancel))[0].Picture;
        StoredFrame stored = (await FrameReader.GrabStoredAsync(through, [0.2], 4096, cancel))[0];
        AssertNegative(recorded, (await FrameReader.GrabAsync(through, [0.2], cancel))[0].Picture);
        AssertNegative(recorded, stored.ToPicture());
        Picture small = (await FrameReader.GrabStoredAsync(clip, [0.2], 4096, cancel))[0].ToPicture(48);
        AssertNegative(small, stored.ToPicture(48));
        await foreach (TimedPicture frame in FrameSequence.ReadAsync(through, new FrameSequenceOptions { FromSeconds = 0.2, DurationSeconds = 0.02 }, cancel))
        {
            AssertNegative(recorded, frame.Picture);
            frame.Dispose();
        }

        Assert.Equal(
            (await FrameReader.GrabStoredAsync(clip, [0.2], 4096, cancel))[0].ToPlanes().Data.ToArray(), stored.ToPlanes().Data.ToArray());
    }

    private static void AssertNegative(Picture recorded, Picture through)
    {
        Assert.Equal(SignalEncoding.Bt2020, through.Encoding);
        Assert.Equal((recorded.Width, recorded.Height), (through.Width, through.Height));
        for (int i = 0; i < recorded.R.Length; i++)
        {
            Assert.Equal(1 - recorded.R[i], through.R[i], 1e-5f);
            Assert.Equal(1 - recorded.G[i], through.G[i], 1e-5f);
            Assert.Equal(1 - recorded.B[i], through.B[i], 1e-5f);
        }
    }
}
