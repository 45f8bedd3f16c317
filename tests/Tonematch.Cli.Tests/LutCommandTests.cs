using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>A correction carried through the formats by the built program.</summary>
public sealed class LutCommandTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task LutConvert_FromACdlThroughEveryFormatAndBack_IsTheSameCorrection()
    {
        File.WriteAllText(_folder.PathOf("a.cc"), """
            <ColorCorrection id="b"><SOPNode><Slope>1.1 0.95 1.02</Slope><Offset>-0.02 0.01 0.003</Offset><Power>1.1 0.9 1.05</Power></SOPNode><SatNode><Saturation>0.85</Saturation></SatNode></ColorCorrection>
            """);
        string last = "a.cc";
        foreach (string next in new[] { "b.clf", "c.cube", "d.png", "e.cdl" })
        {
            (await BuiltProgram.RunInAsync(_folder.FullPath, "lut", "convert", last, "--out", next, "--lut-size", "36")).Ended(0).Prints("written and read back");
            last = next;
        }

        // A hundredth of what is just visible on average; a table bends the edges where the CDL clips.
        ProgramRun compared = await BuiltProgram.RunInAsync(_folder.FullPath, "lut", "compare", "a.cc", "e.cdl", "--json");
        Assert.InRange(compared.Ended(0).Json.GetProperty("delta_e").GetProperty("mean").GetDouble(), 0, 0.05);
        (await BuiltProgram.RunInAsync(_folder.FullPath, "lut", "inspect", "a.cc", "b.clf", "c.cube", "d.png")).Ended(0).Prints("slope 1.1 0.95 1.02", "3D with 36 nodes a side");
        (await BuiltProgram.RunInAsync(_folder.FullPath, "lut", "convert", "c.cube", "--out", "e.cdl")).Ended(3).Says("e.cdl");
        (await BuiltProgram.RunInAsync(_folder.FullPath, "lut", "convert", "c.cube", "--out", "f.cube", "--curves")).Ended(0).Prints("As three curves this correction costs");
        (await BuiltProgram.RunInAsync(_folder.FullPath, "lut", "compare", "c.cube", "f.cube", "--tolerance", "0.01")).Ended(5);
    }
}
