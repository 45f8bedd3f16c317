using System.Reflection;
using Xunit;

namespace Tonematch.Architecture.Tests;

/// <summary>Which project may know which.</summary>
public class ProjectOrderTests
{
    /// <summary>Core, Media, Vision, Matching, Reporting, Exports, then what people start.</summary>
    private static readonly Dictionary<string, string[]> s_mayKnow = new()
    {
        ["Tonematch.Core"] = [],
        ["Tonematch.Media"] = ["Tonematch.Core"],
        ["Tonematch.Vision"] = ["Tonematch.Core"],
        ["Tonematch.Demo"] = ["Tonematch.Core", "Tonematch.Media"],
        ["Tonematch.Matching"] = ["Tonematch.Core", "Tonematch.Media", "Tonematch.Vision"],
        ["Tonematch.Reporting"] = ["Tonematch.Core", "Tonematch.Media", "Tonematch.Matching"],
        ["Tonematch.Exports"] = ["Tonematch.Core", "Tonematch.Media", "Tonematch.Matching", "Tonematch.Reporting"],
        ["Tonematch.Workbench"] = ["Tonematch.Core", "Tonematch.Media", "Tonematch.Vision", "Tonematch.Matching", "Tonematch.Reporting", "Tonematch.Exports"],
        ["Tonematch.Cli"] =
        [
            "Tonematch.Core", "Tonematch.Media", "Tonematch.Vision", "Tonematch.Matching", "Tonematch.Reporting", "Tonematch.Exports",
            "Tonematch.Demo", "Tonematch.Workbench",
        ],
    };

    public static TheoryData<string> Projects => [.. SourceProjects.Names];

    [Theory]
    [MemberData(nameof(Projects))]
    public void Project_KnowsOnlyProjectsBelowIt(string project)
    {
        Assert.True(s_mayKnow.TryGetValue(project, out string[]? allowed), $"{project} has no line in the order of projects: give it one.");
        Dictionary<string, string> projects = SourceProjects.Names.ToDictionary(n => SourceProjects.AssemblyOf(n).GetName().Name!);
        string[] used = [.. SourceProjects.AssemblyOf(project).GetReferencedAssemblies().Select(a => a.Name!).Where(projects.ContainsKey).Select(a => projects[a])];
        string[] broken = [.. used.Union(SourceProjects.ReferencesOf(project)).Except(allowed)];
        Assert.True(broken.Length == 0, $"{project} knows {string.Join(", ", broken)}.");

        // The reading itself: whoever stands above Core uses it.
        Assert.Equal(project != "Tonematch.Core", used.Contains("Tonematch.Core"));
    }

    [Fact]
    public void Core_References_AreTheFrameworkAndTheNumericsLibraryAlone()
    {
        foreach (AssemblyName reference in SourceProjects.AssemblyOf("Tonematch.Core").GetReferencedAssemblies())
        {
            Assert.True(
                reference.Name!.StartsWith("System.", StringComparison.Ordinal) || reference.Name == "MathNet.Numerics",
                $"Tonematch.Core references {reference.Name}.");
            Assert.True(reference.Name is not ("System.Diagnostics.Process" or "System.Console"), $"Tonematch.Core references {reference.Name}.");
        }
    }
}
