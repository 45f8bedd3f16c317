using Tonematch.Testing;
using Xunit;

namespace Tonematch.Architecture.Tests;

/// <summary>What other programs build on is changed on purpose only: TONEMATCH_APPROVE=1 approves a change.</summary>
public class PublicApiTests
{
    [Theory]
    [InlineData("Tonematch.Core")]
    [InlineData("Tonematch.Matching")]
    [InlineData("Tonematch.Exports")]
    public void PublicApi_IsTheApprovedOne(string project)
    {
        string text = ApiText.Of(SourceProjects.AssemblyOf(project));
        Assert.True(text.Split('\n').Length > 20, "The text holds the members at all.");
        Approved.Match(text, RepositoryFolder.PathOf("tests", "Tonematch.Architecture.Tests", "Approved", project + ".txt"));
    }

    [Fact]
    public void Difference_ShowsWhatWentAndWhatCame() =>
        Assert.Equal("- b\n+ x\n+ d", Approved.Difference("a\nb\nc", "a\nx\nc\nd"));
}
