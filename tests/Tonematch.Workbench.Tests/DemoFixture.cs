using Tonematch.Demo;
using Tonematch.Testing;
using Xunit;

[assembly: AssemblyFixture(typeof(Tonematch.Workbench.Tests.DemoFixture))]

namespace Tonematch.Workbench.Tests;

/// <summary>The demo's clips in a small size, drawn once for all tests that need them.</summary>
public sealed class DemoFixture : IDisposable
{
    public const string A = "0/potter-wide.mp4", B = "0/potter-hands.mp4";

    private readonly TempFolder _folder = new();
    private readonly Lazy<string> _clips;

    public DemoFixture() => _clips = new(() =>
    {
        DemoFootage.WriteAsync(_folder.FullPath, CancellationToken.None, height: 360).GetAwaiter().GetResult();
        return _folder.FullPath;
    });

    /// <summary>The folder with both clips.</summary>
    public string Folder => _clips.Value;

    public void Dispose() => _folder.Dispose();
}
