using System.Net;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Tonematch.Workbench.Api;
using Tonematch.Workbench.Door;
using Tonematch.Workbench.Files;
using Tonematch.Workbench.Jobs;
using Tonematch.Workbench.Pictures;

namespace Tonematch.Workbench;

/// <summary>The local page: a server on this machine's own address only, for one person.</summary>
public sealed class WorkbenchServer : IAsyncDisposable
{
    private const int LargestRequest = 4 << 20;

    private readonly WebApplication _app;
    private readonly Doorkeeper _door;
    private readonly JobBoard _jobs;
    private readonly IDisposable[] _held;
    private readonly FileStream _lock;

    private WorkbenchServer(WebApplication app, Doorkeeper door, JobBoard jobs, FileStream held, params IDisposable[] others) =>
        (_app, _door, _jobs, _lock, _held) = (app, door, jobs, held, others);

    /// <summary>Starts the server.</summary>
    /// <param name="options">The places that may be opened, and the folder for results.</param>
    /// <param name="foldersOf">Each clip's folder inside the folder of results, by the command line's rule.</param>
    /// <param name="cancel">Stops the start.</param>
    /// <exception cref="UnusableInputException">A place does not exist, the folder of results cannot be used or is in use by another workbench, or the port is taken.</exception>
    public static async Task<WorkbenchServer> StartAsync(
        WorkbenchOptions options, Func<string, IReadOnlyList<string>, string[]> foldersOf, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(options);
        ArgumentNullException.ThrowIfNull(foldersOf);
        ClipRoots roots = ClipRoots.Of(options.Places);
        string outFolder = Path.TrimEndingDirectorySeparator(Path.GetFullPath(options.OutFolder));
        FileStream held = Hold(outFolder);
        try
        {
            // An empty builder reads no settings from the folder or the environment, which could make it listen
            // elsewhere.
            WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new() { Args = [] });
            builder.WebHost.UseKestrelCore();
            builder.Services.AddRoutingCore();
            builder.Logging.ClearProviders();
            builder.WebHost.ConfigureKestrel(kestrel =>
            {
                kestrel.AddServerHeader = false;
                kestrel.Limits.MaxRequestBodySize = LargestRequest;
                kestrel.Listen(IPAddress.Loopback, options.Port, listen => listen.Protocols = HttpProtocols.Http1);
            });
            WebApplication app = builder.Build();
            Doorkeeper door = new();
            EventHub hub = new();
            CancellationToken stopping = app.Lifetime.ApplicationStopping;
            string Plain(string sentence) => roots.WithoutFolders(sentence.Replace(outFolder, Path.GetFileName(outFolder), StringComparison.Ordinal));
            JobBoard jobs = new(hub, Plain, stopping);
            ClipShelf shelf = new(roots, outFolder);
            FrameDesk frames = new();
            WorkDesk desk = new(shelf, hub, jobs, outFolder, stopping);
            PreviewCopies previews = new(options.CacheFolder
                ?? Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.Create), "tonematch", "previews"));
            Handover handover = new(desk, outFolder, foldersOf);
            app.Use(next => http => door.PassAsync(http, next));
            app.UseRouting();
            new Endpoints(roots, shelf, frames, previews, desk, jobs, hub, handover, outFolder, Plain).Map(app);
            try
            {
                await app.StartAsync(cancel);
            }
            catch (IOException e)
            {
                await app.DisposeAsync();
                throw new UnusableInputException($"The port {options.Port} cannot be used: {e.Message} Leave --port out, and a free one is taken.", e);
            }

            door.OpenAt(new Uri(app.Urls.First()).Port);
            return new WorkbenchServer(app, door, jobs, held, desk, shelf, frames);
        }
        catch
        {
            await held.DisposeAsync();
            throw;
        }
    }

    /// <summary>An address that lets one browser in, once; an earlier, unused one is no longer valid.</summary>
    public Uri NewAddress() => _door.NewAddress();

    /// <summary>Runs until cancelled; jobs are stopped and leave no partial files.</summary>
    public async Task RunAsync(CancellationToken cancel)
    {
        try
        {
            await _app.WaitForShutdownAsync(cancel);
        }
        catch (OperationCanceledException)
        {
            // Ctrl-C is the normal way to end it.
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        using (CancellationTokenSource soon = new(TimeSpan.FromSeconds(2)))
        {
            await _app.StopAsync(soon.Token);
        }

        await _jobs.WhenAllDoneAsync();
        await _app.DisposeAsync();
        foreach (IDisposable held in _held)
        {
            held.Dispose();
        }

        await _lock.DisposeAsync();
    }

    // Two workbenches on one folder would overwrite each other's decisions.
    private static FileStream Hold(string outFolder)
    {
        try
        {
            Directory.CreateDirectory(outFolder);
            return new FileStream(Path.Combine(outFolder, ".workbench.lock"), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None, 1, FileOptions.DeleteOnClose);
        }
        catch (IOException e) when (Directory.Exists(outFolder))
        {
            throw new UnusableInputException($"Another workbench uses the folder {outFolder}. Close it, or name another folder with --out.", e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException($"The folder {outFolder} cannot be used: {e.Message} Name another with --out.", e);
        }
    }
}
