using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Runtime.CompilerServices;
using Tonematch.Colour;
using Xunit;

namespace Tonematch.Core.Tests;

/// <summary>The rules of Tonematch.Core, kept by tests: what it may know of the world, of itself, and that its values never change.</summary>
public class ArchitectureTests
{
    private static readonly Assembly s_core = typeof(Lab).Assembly;

    /// <summary>Which folder (namespace) may use which. A folder not named here fails the test: name it.</summary>
    private static readonly Dictionary<string, string[]> s_allowed = new()
    {
        ["Numerics"] = [],
        ["Colour"] = ["Numerics"],
        ["Pictures"] = ["Numerics", "Colour"],
        ["Sync"] = ["Numerics", "Colour", "Pictures"],
        ["Shoot"] = ["Numerics", "Sync"],
        ["FramePairs"] = ["Numerics", "Colour", "Pictures", "Sync"],
        ["Samples"] = ["Numerics", "Colour", "Pictures"],
        ["Corrections"] = ["Numerics", "Colour"],
        ["Fitting"] = ["Numerics", "Colour", "Samples", "Corrections"],
        ["Luts"] = ["Numerics", "Colour", "Pictures", "Corrections", "Fitting"],
        ["Checking"] = ["Numerics", "Colour", "Pictures", "Samples", "Corrections", "Fitting"],
        ["Drift"] = ["Numerics", "Colour"],
        ["Formats"] = ["Numerics", "Colour", "Drift", "Sync", "Shoot", "Samples", "Corrections", "Fitting", "Luts", "Checking"],
    };

    /// <summary>Members of the framework by which code reaches files, processes, the console, the clock or chance.</summary>
    private static readonly string[] s_forbidden =
    [
        "System.IO.File.", "System.IO.FileInfo.", "System.IO.FileStream.", "System.IO.FileSystemInfo.", "System.IO.Directory.",
        "System.IO.DirectoryInfo.", "System.IO.DriveInfo.", "System.IO.RandomAccess.", "System.IO.FileSystemWatcher.",
        "System.Console.", "System.Diagnostics.Process.", "System.Diagnostics.Stopwatch.",
        "System.Environment.get_TickCount", "System.Environment.GetEnvironmentVariable", "System.Environment.Exit",
        "System.Environment.get_CurrentDirectory", "System.Environment.GetFolderPath", "System.Environment.GetCommandLineArgs",
        "System.DateTime.get_Now", "System.DateTime.get_UtcNow", "System.DateTime.get_Today", "System.DateTimeOffset.get_Now",
        "System.DateTimeOffset.get_UtcNow", "System.TimeProvider.", "System.Random.get_Shared", "System.Guid.NewGuid",
        "System.Threading.Thread.Sleep", "System.Net.",
    ];

    [Fact]
    public void Core_References_AreTheFrameworkAndTheNumericsLibraryAlone()
    {
        foreach (AssemblyName reference in s_core.GetReferencedAssemblies())
        {
            Assert.True(
                reference.Name!.StartsWith("System.", StringComparison.Ordinal) || reference.Name == "MathNet.Numerics",
                $"Tonematch.Core references {reference.Name}.");
        }

        Assert.DoesNotContain(s_core.GetReferencedAssemblies(), r => r.Name is "System.Diagnostics.Process" or "System.Console");
    }

    [Fact]
    public void Core_ReachesNoFileProcessConsoleClockOrChance()
    {
        string[] members = ReferencedMembers();
        Assert.Contains(members, m => m.StartsWith("System.Math.", StringComparison.Ordinal)); // the list is read at all
        string[] found = [.. members.Where(m => s_forbidden.Any(f => m.StartsWith(f, StringComparison.Ordinal)))];
        Assert.True(found.Length == 0, $"Tonematch.Core uses {string.Join(", ", found)}.");
    }

    [Fact]
    public void Core_Folders_KnowOnlyWhatTheyMay()
    {
        SortedSet<string> broken = [];
        HashSet<string> seen = [];
        foreach (Type type in s_core.GetTypes())
        {
            if (Folder(type) is not string folder)
            {
                continue;
            }

            Assert.True(s_allowed.ContainsKey(folder), $"The folder {folder} has no line in the allowed graph.");
            foreach (Type used in TypeUse.Of(type))
            {
                if (used.Assembly == s_core && Folder(used) is string other && other != folder)
                {
                    seen.Add($"{folder} > {other}");
                    if (!s_allowed[folder].Contains(other))
                    {
                        broken.Add($"{type.FullName} uses {used.FullName}");
                    }
                }
            }
        }

        Assert.True(broken.Count == 0, string.Join('\n', broken));

        // The reading itself: dependencies that are there must be seen.
        Assert.Contains("Pictures > Colour", seen);
        Assert.Contains("Fitting > Corrections", seen);
        Assert.Contains("Luts > Corrections", seen);
    }

    [Fact]
    public void Core_PublicTypes_CannotBeChangedAfterTheConstructor()
    {
        const BindingFlags all = BindingFlags.Public | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;
        foreach (Type type in s_core.GetExportedTypes())
        {
            foreach (PropertyInfo property in type.GetProperties(all))
            {
                bool settable = property.SetMethod is { IsPublic: true } set
                    && !set.ReturnParameter.GetRequiredCustomModifiers().Contains(typeof(IsExternalInit));
                Assert.False(settable, $"{type.FullName}.{property.Name} can be set.");
            }

            foreach (FieldInfo field in type.GetFields(all))
            {
                Assert.True(
                    field.IsInitOnly || field.IsLiteral || type.IsEnum, $"{type.FullName}.{field.Name} is a field that can be set.");
            }
        }
    }

    /// <summary>'Colour' for Tonematch.Colour.DeltaE; null for the root namespace and what the compiler makes.</summary>
    private static string? Folder(Type type) =>
        type.Namespace is string n && n.StartsWith("Tonematch.", StringComparison.Ordinal) ? n.Split('.')[1] : null;

    /// <summary>Every member of another assembly that Core's code names, as Namespace.Type.Member.</summary>
    private static string[] ReferencedMembers()
    {
        using FileStream file = File.OpenRead(s_core.Location);
        using PEReader image = new(file);
        MetadataReader metadata = image.GetMetadataReader();
        List<string> members = [];
        foreach (MemberReferenceHandle handle in metadata.MemberReferences)
        {
            MemberReference member = metadata.GetMemberReference(handle);
            if (member.Parent.Kind == HandleKind.TypeReference)
            {
                TypeReference type = metadata.GetTypeReference((TypeReferenceHandle)member.Parent);
                members.Add($"{metadata.GetString(type.Namespace)}.{metadata.GetString(type.Name)}.{metadata.GetString(member.Name)}");
            }
        }

        return [.. members];
    }
}
