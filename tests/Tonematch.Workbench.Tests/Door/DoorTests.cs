using System.Net;
using System.Net.Sockets;
using System.Text;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Workbench.Tests.Door;

/// <summary>Who is let in, asked of the real server.</summary>
public sealed class DoorTests(DoorTests.Server server) : IClassFixture<DoorTests.Server>
{
    private readonly TempFolder _folder = server.Folder;
    private readonly RunningWorkbench _workbench = server.Workbench;

    /// <summary>One server for all: none of these requests changes it.</summary>
    public sealed class Server : IAsyncLifetime
    {
        public TempFolder Folder { get; } = new();

        public RunningWorkbench Workbench { get; private set; } = null!;

        public async ValueTask InitializeAsync()
        {
            Directory.CreateDirectory(Folder.PathOf("clips", "inside"));
            foreach (string name in (string[])["clips/a.mp4", "clips/inside/b.mp4", "outside.mp4", "clips/notes.txt"])
            {
                await File.WriteAllTextAsync(Folder.PathOf(name), "not a clip");
            }

            if (!OperatingSystem.IsWindows())
            {
                File.CreateSymbolicLink(Folder.PathOf("clips", "link.mp4"), Folder.PathOf("outside.mp4"));
                Directory.CreateSymbolicLink(Folder.PathOf("clips", "way"), Folder.FullPath);
            }

            Workbench = await RunningWorkbench.StartAsync(Folder.PathOf("out"), Folder.PathOf("clips"));
        }

        public async ValueTask DisposeAsync()
        {
            await Workbench.DisposeAsync();
            Folder.Dispose();
        }
    }

    [Theory]
    [InlineData("GET", null, null, null, HttpStatusCode.OK)]
    [InlineData("GET", null, null, "same-origin", HttpStatusCode.OK)]
    [InlineData("GET", null, null, "none", HttpStatusCode.OK)]
    [InlineData("GET", null, "own", null, HttpStatusCode.OK)]
    [InlineData("GET", "localhost", null, null, HttpStatusCode.MisdirectedRequest)]
    [InlineData("GET", "clips.example", null, null, HttpStatusCode.MisdirectedRequest)]
    [InlineData("GET", null, "http://clips.example", null, HttpStatusCode.Forbidden)]
    [InlineData("GET", null, "http://127.0.0.1:9", null, HttpStatusCode.Forbidden)]
    [InlineData("GET", null, "null", null, HttpStatusCode.Forbidden)]
    [InlineData("GET", null, null, "cross-site", HttpStatusCode.Forbidden)]
    [InlineData("GET", null, null, "same-site", HttpStatusCode.Forbidden)]
    [InlineData("POST", null, null, null, HttpStatusCode.Forbidden)]
    [InlineData("POST", null, "http://clips.example", null, HttpStatusCode.Forbidden)]
    [InlineData("POST", null, "own", null, HttpStatusCode.UnprocessableEntity)]
    [InlineData("DELETE", null, null, null, HttpStatusCode.Forbidden)]
    public async Task Request_WithTheCookie_IsLetInOnlyFromTheOwnPage(string method, string? host, string? origin, string? site, HttpStatusCode expected)
    {
        string path = method switch { "POST" => "/api/match", "DELETE" => "/api/jobs/1", _ => "/api/state" };
        using HttpRequestMessage request = new(new HttpMethod(method), path);
        request.Headers.Host = host is null ? null : $"{host}:{new Uri(_workbench.Origin).Port}";
        if (method == "POST")
        {
            request.Content = new StringContent("{\"clip\":\"\"}", Encoding.UTF8, "application/json");
        }

        if (origin is not null)
        {
            request.Headers.Add("Origin", origin == "own" ? _workbench.Origin : origin);
        }

        if (site is not null)
        {
            request.Headers.Add("Sec-Fetch-Site", site);
        }

        using HttpResponseMessage answer = await _workbench.Client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(expected, answer.StatusCode);
    }

    [Theory]
    [InlineData("/")]
    [InlineData("/api/state")]
    [InlineData("/web/main.js")]
    [InlineData("/?key=00000000000000000000000000000000")]
    [InlineData("/?key=")]
    public async Task Request_WithoutTheCookie_IsRefused(string path)
    {
        using HttpClient stranger = new() { BaseAddress = new Uri(_workbench.Origin) };
        using HttpResponseMessage answer = await stranger.GetAsync(path, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
    }

    [Fact]
    public async Task Key_UsedASecondTime_LetsNobodyElseIn()
    {
        Uri address = _workbench.NewAddress();
        using HttpClient first = new(new HttpClientHandler { CookieContainer = new CookieContainer() }), second = new(new HttpClientHandler { CookieContainer = new CookieContainer() });
        using HttpResponseMessage one = await first.GetAsync(address, TestContext.Current.CancellationToken), other = await second.GetAsync(address, TestContext.Current.CancellationToken);
        Assert.Equal((HttpStatusCode.OK, HttpStatusCode.Forbidden), (one.StatusCode, other.StatusCode));
        Assert.Contains("used already", await other.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.DoesNotContain("key=", one.RequestMessage!.RequestUri!.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Key_OfAnEarlierAddress_IsNoLongerGood()
    {
        Uri before = _workbench.NewAddress();
        _ = _workbench.NewAddress();
        using HttpClient stranger = new();
        using HttpResponseMessage answer = await stranger.GetAsync(before, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
    }

    [Theory]
    [InlineData("0/../outside.mp4")]
    [InlineData("0/inside/../../outside.mp4")]
    [InlineData("0/..\\outside.mp4")]
    [InlineData("0/link.mp4")]
    [InlineData("0/way/outside.mp4")]
    [InlineData("0/notes.txt")]
    [InlineData("0//a.mp4")]
    [InlineData("0/./a.mp4")]
    [InlineData("0/a.mp4\0.mp4")]
    [InlineData("1/a.mp4")]
    [InlineData("-1/a.mp4")]
    [InlineData("a.mp4")]
    [InlineData("")]
    [InlineData("absolute")]
    public async Task Clip_OutsideTheFoldersOrBehindALink_IsNotGivenOut(string id)
    {
        if (id == "absolute")
        {
            id = "0/" + _folder.PathOf("outside.mp4");
        }

        foreach (string path in (string[])["/api/media", "/api/frame", "/api/thumbnail"])
        {
            using HttpResponseMessage answer = await _workbench.Client.GetAsync($"{path}?clip={Uri.EscapeDataString(id)}", TestContext.Current.CancellationToken);
            Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.StatusCode);
        }
    }

    [Fact]
    public async Task Clip_InsideTheFolders_IsGivenOut()
    {
        Assert.Equal("not a clip", await _workbench.Client.GetStringAsync("/api/media?clip=0%2Fa.mp4", TestContext.Current.CancellationToken));
        Assert.Equal("not a clip", await _workbench.Client.GetStringAsync("/api/media?clip=0%2Finside%2Fb.mp4", TestContext.Current.CancellationToken));
    }

    [Theory]
    [InlineData("GET /web/../outside.mp4 HTTP/1.1")]
    [InlineData("GET /web/..%2f..%2foutside.mp4 HTTP/1.1")]
    [InlineData("GET /out/..%2foutside.mp4 HTTP/1.1")]
    [InlineData("GET /out/.workbench.lock HTTP/1.1")]
    [InlineData("GET /out/workbench.json HTTP/1.1")]
    [InlineData("GET /web/index.html%00.js HTTP/1.1")]
    [InlineData("GET /web//etc/passwd HTTP/1.1")]
    public async Task Path_ThatLeadsOut_FindsNothing(string line)
    {
        // By hand: a client of the framework would tidy the path first.
        Uri at = new(_workbench.Origin);
        using HttpClient client = new(new HttpClientHandler { CookieContainer = new CookieContainer(), AllowAutoRedirect = false });
        using HttpResponseMessage door = await client.GetAsync(_workbench.NewAddress(), TestContext.Current.CancellationToken);
        string cookie = door.Headers.GetValues("Set-Cookie").Single().Split(';')[0];
        using TcpClient tcp = new();
        await tcp.ConnectAsync(at.Host, at.Port, TestContext.Current.CancellationToken);
        using NetworkStream stream = tcp.GetStream();
        await stream.WriteAsync(Encoding.ASCII.GetBytes($"{line}\r\nHost: {at.Authority}\r\nCookie: {cookie}\r\nConnection: close\r\n\r\n"), TestContext.Current.CancellationToken);
        using StreamReader reader = new(stream);
        string status = await reader.ReadLineAsync(TestContext.Current.CancellationToken) ?? "";
        Assert.Matches("^HTTP/1.1 (404|400) ", status);
    }

    [Fact]
    public async Task Cookie_IsOutOfReachOfScriptsAndOfOtherSites()
    {
        using HttpClient client = new(new HttpClientHandler { AllowAutoRedirect = false, UseCookies = false });
        using HttpResponseMessage door = await client.GetAsync(_workbench.NewAddress(), TestContext.Current.CancellationToken);
        string cookie = door.Headers.GetValues("Set-Cookie").Single().ToLowerInvariant();
        Assert.Contains("httponly", cookie, StringComparison.Ordinal);
        Assert.Contains("samesite=strict", cookie, StringComparison.Ordinal);
        Assert.Equal("/", door.Headers.Location!.ToString());
    }

    [Fact]
    public async Task Page_MayAskNothingOfAnyoneElse()
    {
        using HttpResponseMessage page = await _workbench.Client.GetAsync("/", TestContext.Current.CancellationToken);
        string policy = page.Headers.GetValues("Content-Security-Policy").Single();
        Assert.Contains("default-src 'none'", policy, StringComparison.Ordinal);
        Assert.Contains("require-trusted-types-for 'script'", policy, StringComparison.Ordinal);
        Assert.DoesNotContain("unsafe", policy, StringComparison.Ordinal);
        Assert.DoesNotContain("http", policy, StringComparison.Ordinal);
        Assert.Equal("no-store", page.Headers.CacheControl!.ToString());
    }

    [Fact]
    public void Server_Address_IsThisMachinesOwn() => Assert.Equal("127.0.0.1", new Uri(_workbench.Origin).Host);

    [Fact]
    public async Task Server_OnAFolderThatAnotherWorkbenchUses_IsRefused()
    {
        UnusableInputException e = await Assert.ThrowsAsync<UnusableInputException>(() => RunningWorkbench.StartAsync(_folder.PathOf("out"), _folder.PathOf("clips")));
        Assert.Contains("Another workbench", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Server_PlaceThatIsNotThere_IsSaidInASentence()
    {
        UnusableInputException e = await Assert.ThrowsAsync<UnusableInputException>(() => RunningWorkbench.StartAsync(_folder.PathOf("other"), _folder.PathOf("missing")));
        Assert.Contains("is not there", e.Message, StringComparison.Ordinal);
    }
}
