using Tonematch.Testing;
using Xunit;

namespace Tonematch.Vision.Tests;

public sealed class VisionLibraryTests
{
    // The first lines of /etc/os-release as those releases have them.
    private const string Bookworm = "PRETTY_NAME=\"Debian GNU/Linux 12 (bookworm)\"\nNAME=\"Debian GNU/Linux\"\nVERSION_ID=\"12\"\nID=debian\n";
    private const string Trixie = "PRETTY_NAME=\"Debian GNU/Linux 13 (trixie)\"\nVERSION_ID=\"13\"\nID=debian\n";
    private const string Sid = "PRETTY_NAME=\"Debian GNU/Linux forky/sid\"\nID=debian\n";
    private const string Jammy = "NAME=\"Ubuntu\"\nVERSION_ID=\"22.04\"\nID=ubuntu\nID_LIKE=debian\n";
    private const string Noble = "NAME=\"Ubuntu\"\nVERSION_ID=\"24.04\"\nID=ubuntu\nID_LIKE=debian\n";
    private const string Fedora = "NAME=\"Fedora Linux\"\nVERSION_ID=42\nID=fedora\n";

    [Theory]
    [InlineData(Bookworm, "libgtk-3-0")]
    [InlineData(Trixie, "libgtk-3-0t64")]
    [InlineData(Sid, "libgtk-3-0t64")]
    [InlineData(Jammy, "libgtk-3-0")]
    [InlineData(Noble, "libgtk-3-0t64")]
    public void Broken_OnDebianAndUbuntu_NamesThePackagesOfThatRelease(string osRelease, string gtk)
    {
        VisionLibrary library = VisionLibrary.Broken(VisionLibrary.LinksTo, osRelease);
        Assert.Equal([gtk, "libatomic1", "libdrm2"], library.Packages);
        Assert.Contains($"apt-get install {gtk} libatomic1 libdrm2", library.Fault, StringComparison.Ordinal);
    }

    [Fact]
    public void Broken_OneLibraryMissing_NamesThatOneOnly()
    {
        VisionLibrary library = VisionLibrary.Broken([.. VisionLibrary.LinksTo.Where(l => l.Library == "libatomic.so.1")], Bookworm);
        Assert.Equal(["libatomic1"], library.Packages);
        Assert.Contains("lacks libatomic.so.1", library.Fault, StringComparison.Ordinal);
        Assert.DoesNotContain("gtk", library.Fault, StringComparison.Ordinal);
    }

    [Fact]
    public void Broken_OnAnotherSystem_NamesTheLibrariesAndNoCommandOfDebian()
    {
        VisionLibrary library = VisionLibrary.Broken(VisionLibrary.LinksTo, Fedora);
        Assert.Empty(library.Packages);
        Assert.Contains("libgtk-3.so.0, libatomic.so.1", library.Fault, StringComparison.Ordinal);
        Assert.DoesNotContain("apt-get", library.Fault, StringComparison.Ordinal);
    }

    [Fact]
    public void Fault_OnEveryKindOfMachine_SaysWhatToMarkByHand() => Assert.All(
        (VisionLibrary[])[VisionLibrary.NotForThisSystem, VisionLibrary.Broken([], Bookworm), VisionLibrary.Broken(VisionLibrary.LinksTo, Trixie), VisionLibrary.Broken(VisionLibrary.LinksTo, Fedora)],
        library => Assert.All((string[])["--region", "--primary-chart", "--method overall"], option => Assert.Contains(option, library.Fault, StringComparison.Ordinal)));

    // What the launcher installs and what the program asks for are written in two languages: they must not part.
    [Fact]
    public void LinksTo_EveryPackage_IsInstalledByTheLauncher()
    {
        string launcher = File.ReadAllText(RepositoryFolder.PathOf("run"));
        Assert.All(VisionLibrary.LinksTo, l =>
        {
            Assert.Contains(l.Package, launcher, StringComparison.Ordinal);
            Assert.Contains(l.NewerPackage, launcher, StringComparison.Ordinal);
        });
    }
}
