using System.Text.RegularExpressions;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Architecture.Tests;

/// <summary>How numbers are written.</summary>
public partial class NumberFormatTests
{
    // A format of one part has the sign put in front of it: '+0.0' writes -1 as '-+1.0', and a screen reader reads that out.
    [Fact]
    public void FormatsWithAPlus_SayHowNumbersBelowZeroAreWritten()
    {
        Assert.Equal("-+1.0", (-1.0).ToString("+0.0", System.Globalization.CultureInfo.InvariantCulture));
        foreach (string path in Directory.GetFiles(RepositoryFolder.PathOf("src"), "*.cs", SearchOption.AllDirectories))
        {
            Assert.Empty(OnePartWithAPlus().Matches(File.ReadAllText(path)).Select(m => $"{Path.GetFileName(path)}: {m.Value}"));
        }
    }

    [GeneratedRegex("""[:"]\+[0#][0#.,]*["}]""")]
    private static partial Regex OnePartWithAPlus();
}
