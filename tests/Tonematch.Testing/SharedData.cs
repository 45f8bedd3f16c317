using Xunit;

namespace Tonematch.Testing;

/// <summary>
/// Test data that is not part of the project: a folder shared/testdata beside the checkout, or the folder named by
/// TONEMATCH_TESTDATA. A test that needs it is skipped, visibly, where it is not there.
/// </summary>
public static class SharedData
{
    private static readonly string s_root = Environment.GetEnvironmentVariable("TONEMATCH_TESTDATA") is { Length: > 0 } given
        ? given
        : Path.Combine(Path.GetDirectoryName(RepositoryFolder.Root)!, "shared", "testdata");

    /// <summary>The full path of a shared file or folder; skips the running test when it is missing.</summary>
    public static string Require(string relative)
    {
        string path = Path.Combine(s_root, relative);
        Assert.SkipUnless(Path.Exists(path), $"shared test data '{relative}' is not there");
        return path;
    }

    /// <summary>The full path when the file or folder is there, else null.</summary>
    public static string? Find(string relative) => Path.Combine(s_root, relative) is var path && Path.Exists(path) ? path : null;
}
