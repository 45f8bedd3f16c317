using Xunit;

namespace Tonematch.Media.Tests;

public class ArchitectureTests
{
    [Fact]
    public void Placeholder()
    {
        Assert.True(true);
    }
}
