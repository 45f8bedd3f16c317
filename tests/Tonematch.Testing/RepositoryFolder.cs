namespace Tonematch.Testing;

/// <summary>Finds the repository's own folders from a test's output folder.</summary>
public static class RepositoryFolder
{
    /// <summary>The folder that holds Tonematch.sln.</summary>
    public static string Root { get; } = FindRoot();

    /// <summary>A path below the root.</summary>
    public static string PathOf(params string[] parts) => Path.Combine([Root, .. parts]);

    private static string FindRoot()
    {
        for (DirectoryInfo? d = new(AppContext.BaseDirectory); d is not null; d = d.Parent)
        {
            if (File.Exists(Path.Combine(d.FullName, "Tonematch.sln")))
            {
                return d.FullName;
            }
        }

        throw new InvalidOperationException("Tonematch.sln was not found above the test's folder.");
    }
}
