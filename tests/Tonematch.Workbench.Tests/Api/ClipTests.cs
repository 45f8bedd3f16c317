using System.Net;
using System.Text.Json;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Workbench.Tests.Api;

/// <summary>Clips, frames and sound, asked of the real server.</summary>
public sealed class ClipTests(ClipTests.Server server) : IClassFixture<ClipTests.Server>
{
    private readonly TempFolder _folder = server.Folder;
    private readonly RunningWorkbench _workbench = server.Workbench;

    /// <summary>One server for all, on copies of the demo's clips and on a file that is none.</summary>
    public sealed class Server(DemoFixture demo) : IAsyncLifetime
    {
        public TempFolder Folder { get; } = new();

        public RunningWorkbench Workbench { get; private set; } = null!;

        public async ValueTask InitializeAsync()
        {
            ExternalTool.Ffmpeg();
            Directory.CreateDirectory(Folder.PathOf("clips"));
            foreach (string clip in Directory.GetFiles(demo.Folder, "*.mp4"))
            {
                File.Copy(clip, Folder.PathOf("clips", Path.GetFileName(clip)));
            }

            await File.WriteAllTextAsync(Folder.PathOf("clips", "broken.mov"), "no clip at all");
            Workbench = await RunningWorkbench.StartAsync(Folder.PathOf("out"), Folder.PathOf("clips"));
        }

        public async ValueTask DisposeAsync()
        {
            if (Workbench is not null)
            {
                await Workbench.DisposeAsync();
            }

            Folder.Dispose();
        }
    }

    [Fact]
    public async Task State_SaysOfEachClipWhatItIsOrWhyItIsNone()
    {
        JsonElement state = await _workbench.GetAsync("/api/state");
        JsonElement[] clips = [.. state.GetProperty("clips").EnumerateArray()];
        Assert.Equal(["broken.mov", "potter-hands.mp4", "potter-wide.mp4"], clips.Select(c => c.GetProperty("name").GetString()!));
        Assert.Contains("text file", clips[0].GetProperty("problem").GetString(), StringComparison.Ordinal);
        Assert.Equal("640 × 360, 8 bit", clips[2].GetProperty("facts")[0].GetString());
        Assert.True(clips[2].GetProperty("mayPlay").GetBoolean());
        Assert.DoesNotContain(_folder.FullPath, state.GetRawText(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(DemoFixture.A, 3.0, 640)]
    [InlineData(DemoFixture.B, 1.5, 320)]
    public async Task Frame_Planes_AreTheFrameThatTheProgramItselfSees(string id, double seconds, int side)
    {
        using HttpResponseMessage answer = await _workbench.Client.GetAsync($"/api/frame?clip={Uri.EscapeDataString(id)}&t={seconds.ToString(System.Globalization.CultureInfo.InvariantCulture)}&side={side}", TestContext.Current.CancellationToken);
        JsonElement h = JsonDocument.Parse(answer.Headers.GetValues("X-Frame").Single()).RootElement;
        byte[] data = await answer.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken);
        ClipInfo clip = await ClipProbe.ProbeAsync(_folder.PathOf("clips", id[2..]), TestContext.Current.CancellationToken);
        GrabbedFrame own = (await FrameReader.GrabAsync(clip, [seconds], side, TestContext.Current.CancellationToken))[0];
        double N(string name) => h.GetProperty(name).GetDouble();
        int width = (int)N("width"), height = (int)N("height"), cw = (int)N("chromaWidth"), ch = (int)N("chromaHeight");
        Assert.Equal((own.Picture.Width, own.Picture.Height, own.Seconds), (width, height, N("seconds")));

        // The page's shader, in double precision (Rec. ITU-T H.273, 8.3).
        double kr = N("kr"), kb = N("kb"), kg = 1 - kr - kb;
        double Chroma(int plane, int x, int y)
        {
            double cx = (x - N("chromaX")) / 2, cy = (y - N("chromaY")) / 2;
            int i = (int)Math.Floor(cx), j = (int)Math.Floor(cy);
            double At(int a, int b) => data[(width * height) + (plane * cw * ch) + (Math.Clamp(b, 0, ch - 1) * cw) + Math.Clamp(a, 0, cw - 1)];
            double top = At(i, j) + ((cx - i) * (At(i + 1, j) - At(i, j))), below = At(i, j + 1) + ((cx - i) * (At(i + 1, j + 1) - At(i, j + 1)));
            return ((top + ((cy - j) * (below - top))) * N("chromaScale")) + N("chromaOffset");
        }

        double worst = 0;
        for (int y = 0; y < height; y += 3)
        {
            for (int x = 0; x < width; x += 5)
            {
                double l = (data[(y * width) + x] * N("scale")) + N("offset"), u = Chroma(0, x, y), v = Chroma(1, x, y);
                Picture p = own.Picture;
                worst = Math.Max(worst, Math.Abs(l + (2 * (1 - kr) * v) - p[x, y].R));
                worst = Math.Max(worst, Math.Abs(l - (2 * kb * (1 - kb) / kg * u) - (2 * kr * (1 - kr) / kg * v) - p[x, y].G));
                worst = Math.Max(worst, Math.Abs(l + (2 * (1 - kb) * u) - p[x, y].B));
            }
        }

        Assert.True(worst < 1e-5, $"{255 * worst} codes");
    }

    [Fact]
    public async Task Frame_AStepOnAndOneBack_IsTheSameFrameAgain()
    {
        double first = await SecondsAsync("t=4&step=0"), next = await SecondsAsync("t=4&step=1");
        Assert.Equal(0.04, next - first, 1e-4);
        Assert.Equal(first, await SecondsAsync(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"t={next}&step=-1")));
        Assert.Equal(0, await SecondsAsync("t=0&step=-5"));

        // A step decodes its neighbours as well; each of them is kept under its own time.
        foreach (int ahead in (int[])[1, -1])
        {
            double from = await SecondsAsync(FormattableString.Invariant($"t=6&ahead={ahead}"));
            for (int i = 0; i <= 10; i++)
            {
                Assert.Equal(from + (0.04 * i * ahead), await SecondsAsync(FormattableString.Invariant($"t={6.0001 + (0.04 * i * ahead)}")), 1e-4);
            }
        }

        async Task<double> SecondsAsync(string query)
        {
            using HttpResponseMessage answer = await _workbench.Client.GetAsync($"/api/frame?clip={Uri.EscapeDataString(DemoFixture.A)}&side=64&{query}", TestContext.Current.CancellationToken);
            return JsonDocument.Parse(answer.Headers.GetValues("X-Frame").Single()).RootElement.GetProperty("seconds").GetDouble();
        }
    }

    [Fact]
    public async Task Media_AskedForAPart_GivesThatPart()
    {
        byte[] whole = await File.ReadAllBytesAsync(_folder.PathOf("clips", "potter-wide.mp4"), TestContext.Current.CancellationToken);
        using HttpRequestMessage request = new(HttpMethod.Get, $"/api/media?clip={Uri.EscapeDataString(DemoFixture.A)}");
        request.Headers.Range = new(100, 299);
        using HttpResponseMessage answer = await _workbench.Client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.PartialContent, answer.StatusCode);
        Assert.Equal(whole[100..300], await answer.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Clip_ThatChangedAndThenVanished_IsSeenAsItIsAndNothingElseStops()
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        string other = _folder.PathOf("clips", "other.mp4");
        const string id = "0/other.mp4";
        File.Copy(_folder.PathOf("clips", "potter-wide.mp4"), other);
        (HttpStatusCode status, _, byte[] before) = await _workbench.FrameAsync($"clip={id}&t=2&side=64", cancel);
        Assert.Equal(HttpStatusCode.OK, status);

        // Another clip of the same length under the same name.
        File.Copy(_folder.PathOf("clips", "potter-hands.mp4"), other, overwrite: true);
        File.SetLastWriteTimeUtc(other, DateTime.UtcNow);
        Assert.NotEqual(before, (await _workbench.FrameAsync($"clip={id}&t=2&side=64", cancel)).Data);

        File.Delete(other);
        (status, _, byte[] said) = await _workbench.FrameAsync($"clip={id}&t=2&side=64", cancel);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, status);
        Assert.Contains("not there any more", System.Text.Encoding.UTF8.GetString(said), StringComparison.Ordinal);
        Assert.Equal(3, (await _workbench.GetAsync("/api/state")).GetProperty("clips").GetArrayLength());
    }

    [Fact]
    public async Task Dropped_FileThatLiesInTheFolders_IsFoundByNameAndSize()
    {
        long size = new FileInfo(_folder.PathOf("clips", "potter-wide.mp4")).Length;
        Assert.Equal(DemoFixture.A, (await _workbench.PostAsync("/api/dropped", new { name = "potter-wide.mp4", size, modified = 0L })).Body.GetProperty("id").GetString());
        Assert.Contains("not in the folders", (await _workbench.PostAsync("/api/dropped", new { name = "potter-wide.mp4", size = size + 1, modified = 0L })).Body.GetProperty("say").GetString(), StringComparison.Ordinal);
    }
}
