using Tonematch.Media.Files;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Files;

public sealed class AtomicFileTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public void Write_NewFile_HoldsTheContentAndNothingElseIsLeft()
    {
        AtomicFile.Write(_folder.PathOf("a.txt"), false, s => s.Write("hello"u8));
        Assert.Equal("hello", File.ReadAllText(_folder.PathOf("a.txt")));
        Assert.Single(Directory.GetFileSystemEntries(_folder.FullPath));
    }

    [Fact]
    public void Write_ExistingFile_IsKeptUnlessForced()
    {
        string path = _folder.PathOf("a.txt");
        File.WriteAllText(path, "old");
        var e = Assert.Throws<UnusableInputException>(() => AtomicFile.Write(path, false, s => s.Write("new"u8)));
        Assert.Contains("exists already", e.Message, StringComparison.Ordinal);
        Assert.Equal("old", File.ReadAllText(path));
        AtomicFile.Write(path, true, s => s.Write("new"u8));
        Assert.Equal("new", File.ReadAllText(path));
    }

    [Fact]
    public void Write_Input_IsRefusedEvenWhenForcedAndUnderAnotherName()
    {
        string path = _folder.PathOf("clip.mp4");
        File.WriteAllText(path, "precious");
        Assert.Throws<UnusableInputException>(() => AtomicFile.Write(path, true, s => s.Write("x"u8), path));
        Assert.Throws<UnusableInputException>(() => AtomicFile.Write(Path.Combine(_folder.FullPath, ".", "clip.mp4"), true, s => s.Write("x"u8), path));
        if (!OperatingSystem.IsWindows())
        {
            File.CreateSymbolicLink(_folder.PathOf("link.mp4"), path);
            Assert.Throws<UnusableInputException>(() => AtomicFile.Write(_folder.PathOf("link.mp4"), true, s => s.Write("x"u8), path));
            Directory.CreateSymbolicLink(_folder.PathOf("folder"), _folder.FullPath);
            Directory.CreateSymbolicLink(_folder.PathOf("again"), "folder");
            Assert.Throws<UnusableInputException>(() => AtomicFile.Write(_folder.PathOf("again", "folder", "clip.mp4"), true, s => s.Write("x"u8), path));
            ExternalTool.RequireProgram("ln").Run([path, _folder.PathOf("hard.mp4")]);
            Assert.Throws<UnusableInputException>(() => AtomicFile.Write(_folder.PathOf("hard.mp4"), true, s => s.Write("x"u8), path));
        }

        Assert.Equal("precious", File.ReadAllText(path));
    }

    [Fact]
    public void AreSame_TwoFilesAlikeInEverything_AreTwo()
    {
        File.WriteAllText(_folder.PathOf("a"), "same");
        File.Copy(_folder.PathOf("a"), _folder.PathOf("b"));
        File.SetLastWriteTimeUtc(_folder.PathOf("b"), File.GetLastWriteTimeUtc(_folder.PathOf("a")));
        Assert.False(FileIdentity.AreSame(_folder.PathOf("a"), _folder.PathOf("b")));
    }

    [Fact]
    public void Check_AFolderThatMayNotBeWritten_IsRefusedWithTheResultsName()
    {
        // Root may write everywhere but into the system's own tree of devices.
        Assert.SkipUnless(Directory.Exists("/sys/kernel"), "this system has no folder that nobody may write");
        var e = Assert.Throws<UnusableInputException>(() => AtomicFile.Check("/sys/kernel/pairs.csv", false));
        Assert.Contains("'/sys/kernel/pairs.csv'", e.Message, StringComparison.Ordinal);
        Assert.DoesNotContain(".part", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Write_WriterFails_LeavesNothingAndTheOldFileStands()
    {
        string path = _folder.PathOf("a.txt");
        File.WriteAllText(path, "old");
        Assert.Throws<InvalidOperationException>(() => AtomicFile.Write(path, true, s =>
        {
            s.Write("half"u8);
            throw new InvalidOperationException("stop");
        }));
        Assert.Throws<OperationCanceledException>(() => AtomicFile.Write(_folder.PathOf("b.txt"), true, _ => throw new OperationCanceledException()));
        Assert.Equal("old", File.ReadAllText(path));
        Assert.Single(Directory.GetFileSystemEntries(_folder.FullPath));
    }

    [Fact]
    public void Write_MissingFolderOrFolderItself_SaysSo()
    {
        Assert.Contains("does not exist", Assert.Throws<UnusableInputException>(() => AtomicFile.Write(_folder.PathOf("no", "a.txt"), false, _ => { })).Message, StringComparison.Ordinal);
        Assert.Contains("is a folder", Assert.Throws<UnusableInputException>(() => AtomicFile.Write(_folder.FullPath, true, _ => { })).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Write_FullDisk_IsASentence()
    {
        // The kernel's always-full device; the temporary file is a link to it.
        Assert.SkipUnless(File.Exists("/dev/full"), "this system has no /dev/full");
        string path = _folder.PathOf("a.bin");
        var e = Assert.Throws<UnusableInputException>(() => AtomicFile.Write(path, false, s =>
        {
            using FileStream full = new("/dev/full", FileMode.Open, FileAccess.Write);
            full.Write(new byte[100_000]);
            full.Flush();
        }));
        Assert.Contains("disk is full", e.Message, StringComparison.Ordinal);
        Assert.Empty(Directory.GetFileSystemEntries(_folder.FullPath));
    }
}
