using Tonematch.Testing;
using Xunit;

[assembly: AssemblyFixture(typeof(Tonematch.Demo.Tests.DemoFixture))]

namespace Tonematch.Demo.Tests;

/// <summary>The demo's clips in a small size, drawn once for all tests that need them.</summary>
public sealed class DemoFixture : IDisposable
{
    private readonly TempFolder _folder = new();
    private readonly Lazy<DemoClips> _clips;

    public DemoFixture() => _clips = new(() =>
        DemoFootage.WriteAsync(_folder.FullPath, CancellationToken.None, height: Height).GetAwaiter().GetResult());

    public static int Height => 360;

    public static int Width => 640;

    public DemoClips Clips => _clips.Value;

    public string Folder => _folder.FullPath;

    public void Dispose() => _folder.Dispose();
}
