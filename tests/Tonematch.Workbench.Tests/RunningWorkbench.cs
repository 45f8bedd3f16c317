using System.Net;
using System.Text;
using System.Text.Json;

namespace Tonematch.Workbench.Tests;

/// <summary>The real server on a port of its own, and a client that came in by its address.</summary>
public sealed class RunningWorkbench : IAsyncDisposable
{
    private readonly WorkbenchServer _server;

    private bool _isClosed;

    private RunningWorkbench(WorkbenchServer server, HttpClient client, string origin, string outFolder) => (_server, Client, Origin, Out) = (server, client, origin, outFolder);

    /// <summary>The folder of results.</summary>
    public string Out { get; }

    /// <summary>Has the cookie.</summary>
    public HttpClient Client { get; }

    public string Origin { get; }

    public static Task<RunningWorkbench> StartAsync(string outFolder, params string[] places) => StartAtAsync(0, outFolder, places);

    public static async Task<RunningWorkbench> StartAtAsync(int port, string outFolder, params string[] places)
    {
        WorkbenchServer server = await WorkbenchServer.StartAsync(
            new WorkbenchOptions([.. places], outFolder) { Port = port, CacheFolder = Path.Combine(outFolder, "previews") }, (root, clips) => clips.Count == 1 ? [root] : [.. clips.Select((_, i) => Path.Combine(root, $"{i}"))]);
        Uri address = server.NewAddress();
        HttpClient client = new(new HttpClientHandler { CookieContainer = new CookieContainer() }) { BaseAddress = new Uri(address, "/"), Timeout = TimeSpan.FromMinutes(5) };
        using HttpResponseMessage page = await client.GetAsync(address);
        page.EnsureSuccessStatusCode();
        return new RunningWorkbench(server, client, address.GetLeftPart(UriPartial.Authority), outFolder);
    }

    public Uri NewAddress() => _server.NewAddress();

    public async Task<JsonElement> GetAsync(string path) => JsonDocument.Parse(await Client.GetStringAsync(path)).RootElement;

    public async Task<(HttpStatusCode Status, JsonElement Body)> PostAsync(string path, object value)
    {
        using HttpRequestMessage request = new(HttpMethod.Post, path) { Content = new StringContent(JsonSerializer.Serialize(value), Encoding.UTF8, "application/json") };
        request.Headers.Add("Origin", Origin);
        using HttpResponseMessage answer = await Client.SendAsync(request);
        string text = await answer.Content.ReadAsStringAsync();
        return (answer.StatusCode, text.Length == 0 ? default : JsonDocument.Parse(text).RootElement);
    }

    /// <summary>Decides for these clips, as the page does.</summary>
    public async Task<(HttpStatusCode Status, JsonElement Body)> DecideAsync(string? primary, object[] secondaries)
    {
        JsonElement state = await GetAsync("/api/state");
        return await PostAsync("/api/session", new { version = state.GetProperty("version").GetInt64(), session = new { primary, secondaries, lutSize = 33 }, draft = false });
    }

    /// <summary>A job once it has ended.</summary>
    public async Task<JsonElement> JobAsync(int id, CancellationToken cancel)
    {
        JsonElement Job(JsonElement state) => state.GetProperty("jobs").EnumerateArray().Single(j => j.GetProperty("id").GetInt32() == id);
        return Job(await WaitAsync("/api/state", s => Job(s).GetProperty("status").GetString() != "running", cancel));
    }

    /// <summary>The planes of a frame, or the sentence why there are none.</summary>
    public async Task<(HttpStatusCode Status, string Header, byte[] Data)> FrameAsync(string query, CancellationToken cancel)
    {
        using HttpResponseMessage answer = await Client.GetAsync($"/api/frame?{query}", cancel);
        return (answer.StatusCode, answer.Headers.TryGetValues("X-Frame", out IEnumerable<string>? header) ? header.Single() : "", await answer.Content.ReadAsByteArrayAsync(cancel));
    }

    /// <summary>Asks until it is so.</summary>
    public async Task<JsonElement> WaitAsync(string path, Func<JsonElement, bool> until, CancellationToken cancel)
    {
        JsonElement now = default;
        for (int i = 0; i < 1800; i++)
        {
            now = await GetAsync(path);
            if (until(now))
            {
                return now;
            }

            await Task.Delay(100, cancel);
        }

        throw new TimeoutException($"In three minutes it was never so: {path} says {now}");
    }

    public async ValueTask DisposeAsync()
    {
        if (_isClosed)
        {
            return;
        }

        _isClosed = true;
        Client.Dispose();
        await _server.DisposeAsync();
    }
}
