using Tonematch.Media.Files;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Files;

public class FileFingerprintTests
{
    // FIPS 180-4, example of SHA-256 for the message 'abc' (NIST, 'Examples with Intermediate Values').
    [Fact]
    public async Task OfAsync_PublishedMessage_HasItsPublishedHash()
    {
        using TempFolder folder = new();
        string path = folder.PathOf("abc");
        await File.WriteAllTextAsync(path, "abc", TestContext.Current.CancellationToken);
        Assert.Equal(
            "SHA-256 ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            await FileFingerprint.OfAsync(path, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task OfAsync_MissingFile_IsSaid()
    {
        using TempFolder folder = new();
        await Assert.ThrowsAsync<UnusableInputException>(() => FileFingerprint.OfAsync(folder.PathOf("none"), TestContext.Current.CancellationToken));
    }
}
