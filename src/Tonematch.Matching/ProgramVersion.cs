using System.Reflection;

namespace Tonematch.Matching;

/// <summary>The program's own name and version, as files and reports state it.</summary>
public static class ProgramVersion
{
    /// <summary>For example 'Tonematch 0.1.0'.</summary>
    public static string Text { get; } =
        $"Tonematch {typeof(ProgramVersion).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()!.InformationalVersion.Split('+')[0]}";
}
