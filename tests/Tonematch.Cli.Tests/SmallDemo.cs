using Tonematch.Demo;
using Tonematch.Testing;
using Xunit;

[assembly: AssemblyFixture(typeof(Tonematch.Cli.Tests.SmallDemo))]

namespace Tonematch.Cli.Tests;

/// <summary>The demo's clips in a small size, drawn once for all tests that do not depend on it.</summary>
public sealed class SmallDemo : IDisposable
{
    private readonly TempFolder _folder = new();
    private readonly Lazy<DemoClips> _clips;

    public SmallDemo() => _clips = new(() => DemoFootage.WriteAsync(_folder.FullPath, CancellationToken.None, height: 288).GetAwaiter().GetResult());

    /// <summary>Both clips; nobody writes into their folder.</summary>
    public DemoClips Clips => _clips.Value;

    public void Dispose() => _folder.Dispose();
}
