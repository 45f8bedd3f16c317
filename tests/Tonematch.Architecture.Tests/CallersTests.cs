using Xunit;

namespace Tonematch.Architecture.Tests;

/// <summary>Nothing is kept in the library that the programs never reach, but for what is named here.</summary>
public class CallersTests
{
    /// <summary>Public types of Tonematch.Core that stand there for users of the library alone, by name.</summary>
    private static readonly string[] s_forLibraryUsers =
    [
        "Tonematch.Colour.DeltaE.DeltaE76",
        "Tonematch.Colour.DeltaE.DeltaE94",
        "Tonematch.Colour.DeltaE.DeltaECmc",
        "Tonematch.Colour.DeltaE.DeltaEItp",
        "Tonematch.Colour.Lch",
        "Tonematch.Colour.XyY",
    ];

    [Fact]
    public void PublicTypesOfCore_AreReachedFromAProgramOrStandInTheList()
    {
        HashSet<Type> reached = [];
        string[] frontEnds = ["Tonematch.Cli", "Tonematch.Workbench"];
        Queue<Type> toVisit = new(frontEnds.Intersect(SourceProjects.Names)
            .SelectMany(p => SourceProjects.AssemblyOf(p).GetTypes()));
        while (toVisit.TryDequeue(out Type? type))
        {
            if (reached.Add(type))
            {
                foreach (Type used in TypeUse.Of(type).Append(type.DeclaringType).OfType<Type>().Select(Open).Where(IsOurs))
                {
                    toVisit.Enqueue(used);
                }
            }
        }

        string[] unreached = [.. SourceProjects.AssemblyOf("Tonematch.Core").GetExportedTypes().Where(t => !t.IsNested && !reached.Contains(t))
            .Where(t => !IsReadAsANumber(t)).Select(t => t.FullName!).Order(StringComparer.Ordinal)];
        string[] missing = [.. unreached.Except(s_forLibraryUsers)], kept = [.. s_forLibraryUsers.Intersect(reached.Select(t => t.FullName!))];
        Assert.True(missing.Length == 0, $"No program reaches:\n{string.Join('\n', missing)}");
        Assert.True(kept.Length == 0, $"In the list for library users, and reached by a program all the same:\n{string.Join('\n', kept)}");
    }

    private static Type Open(Type type) => type.IsGenericType ? type.GetGenericTypeDefinition() : type;

    private static bool IsOurs(Type type) => type.Namespace?.StartsWith("Tonematch", StringComparison.Ordinal) == true;

    // Of constants the compiler leaves only their values behind.
    private static bool IsReadAsANumber(Type type) =>
        type is { IsAbstract: true, IsSealed: true } && type.GetMethods(System.Reflection.BindingFlags.Public | System.Reflection.BindingFlags.Static | System.Reflection.BindingFlags.DeclaredOnly).Length == 0;
}
