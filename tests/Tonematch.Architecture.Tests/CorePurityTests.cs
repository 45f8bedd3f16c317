using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using Tonematch.Colour;
using Xunit;

namespace Tonematch.Architecture.Tests;

/// <summary>What Tonematch.Core may know of the world: nothing that is not handed to it.</summary>
public class CorePurityTests
{
    private static readonly Assembly s_core = typeof(Lab).Assembly;

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
    public void Core_ReachesNoFileProcessConsoleClockOrChance()
    {
        string[] members = ReferencedMembers();
        Assert.Contains(members, m => m.StartsWith("System.Math.", StringComparison.Ordinal)); // the list is read at all
        string[] found = [.. members.Where(m => s_forbidden.Any(f => m.StartsWith(f, StringComparison.Ordinal)))];
        Assert.True(found.Length == 0, $"Tonematch.Core uses {string.Join(", ", found)}.");
    }

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
