using System.Reflection;
using Xunit;

namespace Tonematch.Architecture.Tests;

/// <summary>Which folder of a project may know which of the same project.</summary>
public class FolderOrderTests
{
    public static TheoryData<string> Projects => [.. SourceProjects.Names];

    [Theory]
    [MemberData(nameof(Projects))]
    public void Folders_KnowOnlyWhatTheirLineNames(string project)
    {
        Assert.True(FolderOrder.Of.TryGetValue(project, out Dictionary<string, string[]>? lines), $"The folders of {project} have no order: give them one.");
        SortedSet<string> broken = new(StringComparer.Ordinal);
        HashSet<string> seen = [];
        Assembly assembly = SourceProjects.AssemblyOf(project);
        foreach (Type type in assembly.GetTypes().Where(IsOurs))
        {
            if (LineOf(type, project, lines) is not { } line)
            {
                broken.Add($"{Place(type, project)} has no line in the order of {project}.");
                continue;
            }

            seen.Add(line);
            foreach (Type other in TypeUse.Of(type).Where(t => t.Assembly == assembly && IsOurs(t)))
            {
                if (LineOf(other, project, lines) is { } otherLine && otherLine != line && !lines[line].Contains(otherLine))
                {
                    broken.Add($"'{line}' must not know '{otherLine}': {SourceProjects.Outermost(type).Name} uses {SourceProjects.Outermost(other).Name}");
                }
            }
        }

        Assert.True(broken.Count == 0, string.Join('\n', broken));

        string[] gone = [.. lines.Where(l => !IsPart(l.Value)).Select(l => l.Key).Except(seen)];
        Assert.True(gone.Length == 0, $"Lines of {project} that no file belongs to: {string.Join(", ", gone)}");
    }

    [Fact]
    public void Order_OfEveryProject_HasNoCircle()
    {
        foreach ((string project, Dictionary<string, string[]> lines) in FolderOrder.Of)
        {
            HashSet<string> done = [];
            foreach (string line in lines.Where(l => !IsPart(l.Value)).Select(l => l.Key))
            {
                Visit(line, []);
            }

            void Visit(string line, List<string> path)
            {
                Assert.True(lines.ContainsKey(line), $"{project}: '{line}' has no line of its own.");
                Assert.False(path.Contains(line), $"{project}: {string.Join(" > ", path.SkipWhile(p => p != line).Append(line))}");
                if (done.Contains(line))
                {
                    return;
                }

                foreach (string next in lines[line])
                {
                    Visit(next, [.. path, line]);
                }

                done.Add(line);
            }
        }
    }

    // What the compiler makes for several types at once (tables of constants, inline arrays) lives nowhere.
    private static bool IsOurs(Type type) => SourceProjects.Outermost(type) is { } outer
        && outer.Namespace?.StartsWith("Tonematch", StringComparison.Ordinal) == true && !outer.Name.StartsWith('<');

    private static string Place(Type type, string project)
    {
        Type outer = SourceProjects.Outermost(type);
        string folder = SourceProjects.FolderOf(outer, project), name = outer.Name.Split('`')[0];
        return folder.Length == 0 ? name : $"{folder}.{name}";
    }

    // The longest line that names the type, its folder, or a folder around it.
    private static string? LineOf(Type type, string project, Dictionary<string, string[]> lines)
    {
        string place = Place(type, project);
        while (!lines.ContainsKey(place))
        {
            int dot = place.LastIndexOf('.');
            if (dot < 0)
            {
                return SourceProjects.FolderOf(SourceProjects.Outermost(type), project).Length == 0 && lines.ContainsKey("") ? "" : null;
            }

            place = place[..dot];
        }

        return IsPart(lines[place]) ? lines[place][0][1..] : place;
    }

    private static bool IsPart(string[] line) => line is [['=', ..]];
}
