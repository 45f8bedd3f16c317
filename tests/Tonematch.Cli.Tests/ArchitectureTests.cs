using Xunit;

namespace Tonematch.Cli.Tests;

public class ArchitectureTests
{
    [Fact]
    public void Placeholder()
    {
        Assert.True(true);
    }
}
