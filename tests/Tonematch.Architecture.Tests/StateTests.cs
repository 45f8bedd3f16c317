using System.Reflection;
using System.Runtime.CompilerServices;
using Xunit;

namespace Tonematch.Architecture.Tests;

/// <summary>What can be changed, and by whom.</summary>
public class StateTests
{
    private const BindingFlags All =
        BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;

    /// <summary>Programs, which no other code uses; every other project is a library.</summary>
    private static readonly string[] s_programs = ["Tonematch.Cli", "Tonematch.Workbench"];

    public static TheoryData<string> Projects => [.. SourceProjects.Names];

    public static TheoryData<string> Libraries => [.. SourceProjects.Names.Except(s_programs)];

    [Theory]
    [MemberData(nameof(Libraries))]
    public void PublicTypes_CannotBeChangedAfterTheConstructor(string project)
    {
        foreach (Type type in SourceProjects.AssemblyOf(project).GetExportedTypes())
        {
            foreach (PropertyInfo property in type.GetProperties(All))
            {
                bool settable = property.SetMethod is { } set && (set.IsPublic || set.IsFamily || set.IsFamilyOrAssembly)
                    && !set.ReturnParameter.GetRequiredCustomModifiers().Contains(typeof(IsExternalInit));
                Assert.False(settable, $"{type.FullName}.{property.Name} can be set.");
            }

            foreach (FieldInfo field in type.GetFields(All).Where(f => f.IsPublic || f.IsFamily || f.IsFamilyOrAssembly))
            {
                Assert.True(
                    field.IsInitOnly || field.IsLiteral || type.IsEnum, $"{type.FullName}.{field.Name} is a field that can be set.");
            }
        }
    }

    [Theory]
    [MemberData(nameof(Projects))]
    public void Statics_AreNeverSetAgain(string project)
    {
        SortedSet<string> settable = new(StringComparer.Ordinal);
        foreach (Type type in SourceProjects.AssemblyOf(project).GetTypes().Where(t => !IsMadeByTheCompiler(t)))
        {
            foreach (FieldInfo field in type.GetFields(All).Where(f => f.IsStatic && !f.IsInitOnly && !f.IsLiteral))
            {
                // The compiler keeps delegates of its own in fields whose names begin like this; a property's field is ours.
                if (!field.Name.StartsWith('<') || field.Name.EndsWith("k__BackingField", StringComparison.Ordinal))
                {
                    settable.Add($"{type.FullName}.{field.Name}");
                }
            }

            foreach (PropertyInfo property in type.GetProperties(All).Where(p => p.SetMethod is { IsStatic: true }))
            {
                settable.Add($"{type.FullName}.{property.Name}");
            }
        }

        Assert.True(settable.Count == 0, $"Statics that can be set:\n{string.Join('\n', settable)}");
    }

    private static bool IsMadeByTheCompiler(Type type) =>
        type.Name.StartsWith('<') || type.IsDefined(typeof(System.CodeDom.Compiler.GeneratedCodeAttribute))
        || (type.DeclaringType is { } outer && IsMadeByTheCompiler(outer));
}
