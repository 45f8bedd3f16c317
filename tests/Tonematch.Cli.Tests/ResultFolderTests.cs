using Tonematch.Exports;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>Results appear together or not at all, and never over what was read or what another run writes.</summary>
public sealed class ResultFolderTests : IDisposable
{
    private static readonly string[] s_names = ["one.txt", "two.txt"];

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Results_BeforeTheyAreComplete_AreNotInTheFolder(bool isThere)
    {
        string path = _folder.PathOf("a", "match");
        if (isThere)
        {
            Directory.CreateDirectory(path);
        }

        using (ResultFolder results = ResultFolder.Prepare(path, s_names, force: false, []))
        {
            File.WriteAllText(results.StagePathOf("one.txt"), "1");
            Assert.False(File.Exists(results.PathOf("one.txt")));
            File.WriteAllText(results.StagePathOf("two.txt"), "2");
            results.Commit();
        }

        Assert.Equal(["one.txt", "two.txt"], Directory.GetFileSystemEntries(path).Select(p => Path.GetFileName(p)!).Order(StringComparer.Ordinal));
        Assert.Equal([path], Directory.GetFileSystemEntries(_folder.PathOf("a")));
    }

    [Fact]
    public void Results_WorkThatFails_LeavesEverythingAsItWas()
    {
        using (ResultFolder results = ResultFolder.Prepare(_folder.PathOf("a", "b", "match"), s_names, force: false, []))
        {
            File.WriteAllText(results.StagePathOf("one.txt"), "half");
        }

        Assert.Empty(Directory.GetFileSystemEntries(_folder.FullPath));
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Results_OfTwoRunsIntoOneFolder_AreNotMixed(bool isThere)
    {
        string path = _folder.PathOf("match");
        if (isThere)
        {
            Directory.CreateDirectory(path);
        }

        using ResultFolder first = ResultFolder.Prepare(path, s_names, force: true, []);
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => ResultFolder.Prepare(path, s_names, force: true, []));
        Assert.Contains("Another run", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Results_AfterARunThatWasKilled_CanBeWritten()
    {
        Directory.CreateDirectory(_folder.PathOf("match"));
        File.WriteAllText(_folder.PathOf("match", ".tonematch-lock"), "");
        using ResultFolder results = ResultFolder.Prepare(_folder.PathOf("match"), s_names, force: false, []);
    }

    [Fact]
    public void Results_IntoAFolderThatMayNotBeWritten_AreRefusedBeforeTheWork()
    {
        // Root may write everywhere but into the system's own tree of devices.
        Assert.SkipUnless(Directory.Exists("/sys/kernel"), "this system has no folder that nobody may write");
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => ResultFolder.Prepare("/sys/kernel", s_names, force: false, []));
        Assert.Contains("/sys/kernel", e.Message, StringComparison.Ordinal);
        Assert.DoesNotContain(".part", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Results_NamedAsAnInputByALink_AreRefused()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "links need rights there");
        Directory.CreateDirectory(_folder.PathOf("real"));
        Directory.CreateSymbolicLink(_folder.PathOf("ln"), _folder.PathOf("real"));
        File.WriteAllText(_folder.PathOf("real", "one.txt"), "precious");
        Assert.Throws<UnusableInputException>(() => ResultFolder.Prepare(_folder.PathOf("real"), s_names, force: true, [_folder.PathOf("ln", "one.txt")]));
        Assert.Throws<UnusableInputException>(() => ResultFolder.Prepare(_folder.PathOf("ln"), s_names, force: true, [_folder.PathOf("real", "one.txt")]));
        Assert.Equal(["one.txt"], Directory.GetFileSystemEntries(_folder.PathOf("real")).Select(Path.GetFileName));
    }
}
