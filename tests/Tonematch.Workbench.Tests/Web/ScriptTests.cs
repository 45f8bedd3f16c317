using System.Text;
using System.Text.Json;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Workbench.Tests.Web;

/// <summary>The page's scripts, read by the TypeScript compiler: names and types agree from file to file. Nothing of it is in the program.</summary>
public sealed class ScriptTests
{
    [Fact]
    public void Scripts_ReadByACompiler_HoldNoNameOrTypeThatIsNotThere()
    {
        ExternalTool compiler = ExternalTool.RequireProgram("tsc");
        using TempFolder folder = new();
        string web = RepositoryFolder.PathOf("src", "Tonematch.Workbench", "web").Replace('\\', '/'), project = folder.PathOf("tsconfig.json");
        File.WriteAllText(project, JsonSerializer.Serialize(new
        {
            compilerOptions = new
            {
                allowJs = true,
                checkJs = true,
                noEmit = true,
                target = "es2022",
                module = "es2022",
                moduleResolution = "node",
                lib = (string[])["es2022", "dom", "dom.iterable"],
                types = Array.Empty<string>(),
                baseUrl = web,
                paths = new Dictionary<string, string[]> { ["/web/*"] = ["./*"] },
            },
            include = (string[])[web + "/**/*.js"],
        }));
        (int exitCode, byte[] output, string errors) = compiler.TryRun(["-p", project], [], null);
        Assert.True(exitCode == 0, Encoding.UTF8.GetString(output) + errors);
    }
}
