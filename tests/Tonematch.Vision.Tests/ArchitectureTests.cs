using Xunit;

namespace Tonematch.Vision.Tests;

public class ArchitectureTests
{
    [Fact]
    public void Placeholder()
    {
        Assert.True(true);
    }
}
