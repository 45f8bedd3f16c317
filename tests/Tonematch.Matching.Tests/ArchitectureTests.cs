using Xunit;

namespace Tonematch.Matching.Tests;

public class ArchitectureTests
{
    [Fact]
    public void Placeholder()
    {
        Assert.True(true);
    }
}
