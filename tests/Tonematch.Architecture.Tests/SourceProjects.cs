using System.Reflection;
using System.Xml.Linq;
using Tonematch.Testing;

namespace Tonematch.Architecture.Tests;

/// <summary>The projects in src and their assemblies.</summary>
internal static class SourceProjects
{
    /// <summary>Names of all projects, 'Tonematch.Core' and so on.</summary>
    public static string[] Names { get; } =
        [.. Directory.GetFiles(RepositoryFolder.PathOf("src"), "*.csproj", SearchOption.AllDirectories).Select(p => Path.GetFileNameWithoutExtension(p)).Order(StringComparer.Ordinal)];

    /// <summary>The assembly of a project.</summary>
    public static Assembly AssemblyOf(string project) =>
        Assembly.Load(Read(project).Descendants("AssemblyName").FirstOrDefault()?.Value ?? project);

    /// <summary>The projects that a project names in its file.</summary>
    public static string[] ReferencesOf(string project) =>
        [.. Read(project).Descendants("ProjectReference").Select(r => Path.GetFileNameWithoutExtension(r.Attribute("Include")!.Value.Replace('\\', '/')))];

    /// <summary>The folder in which a type lives as 'Sync.Sound'; '' for the project's own root.</summary>
    public static string FolderOf(Type type, string project)
    {
        string root = project == "Tonematch.Core" ? "Tonematch" : project, space = type.Namespace ?? "";
        return space == root || !space.StartsWith(root + ".", StringComparison.Ordinal) ? "" : space[(root.Length + 1)..];
    }

    /// <summary>The type in whose file a type stands.</summary>
    public static Type Outermost(Type type) => type.DeclaringType is { } outer ? Outermost(outer) : type;

    private static XDocument Read(string project) => XDocument.Load(RepositoryFolder.PathOf("src", project, project + ".csproj"));
}
