using Tonematch.Media.Clips;
using Tonematch.Media.Rendering;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Rendering;

public sealed class WrittenTagsTests : IDisposable
{
    private static readonly WrittenTags s_bt709 = new(SignalRange.Limited, 1, 1, 1, null);

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Require_FileWithTheTagsWanted_IsKept() => WrittenTags.Require(await MakeAsync(FfmpegSpelling.TagsBt709), s_bt709, "a.mp4");

    // What FFmpeg 7 made of the encoder's options alone: primaries and transfer are gone.
    [Fact]
    public async Task Require_FileThatLostPrimariesAndTransfer_IsRefusedByName()
    {
        ClipInfo written = await MakeAsync("setparams=range=tv:colorspace=bt709");
        var e = Assert.Throws<UnusableInputException>(() => WrittenTags.Require(written, s_bt709, "a.mp4"));
        Assert.Contains("'a.mp4' was not kept", e.Message, StringComparison.Ordinal);
        Assert.Contains("primaries missing instead of 1; transfer curve missing instead of 1", e.Message, StringComparison.Ordinal);
        Assert.DoesNotContain("matrix", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Require_FileOfAnotherRange_IsRefused()
    {
        ClipInfo written = await MakeAsync(FfmpegSpelling.Tags("bt709", "bt709", "bt709", "pc"));
        Assert.Contains("range Full instead of Limited", Assert.Throws<UnusableInputException>(() => WrittenTags.Require(written, s_bt709, "a.mp4")).Message, StringComparison.Ordinal);
    }

    private async Task<ClipInfo> MakeAsync(string tags)
    {
        string path = _folder.PathOf("a.mp4");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "testsrc2=s=64x48:r=25:d=0.2", "-vf", "format=yuv420p," + tags, "-c:v", "libx264", path]);
        return await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
    }
}
