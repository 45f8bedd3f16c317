using System.Collections.Immutable;
using CsCheck;
using Tonematch.Exports.Rendering;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Exports.Tests;

/// <summary>jobs.json is read by other machines, hours later, after whatever happened to it.</summary>
public sealed class RenderPlanTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public void Write_ThenRead_GivesTheSameJobs()
    {
        ImmutableArray<RenderJob> read = RenderPlan.Read(Written());
        Assert.Equal(Jobs().Select(j => j.Out), read.Select(j => j.Out));
        Assert.Equal(Jobs()[0].Aligned, read[0].Aligned);
        Assert.Equal(Jobs()[0].SoundFrom, read[0].SoundFrom);
    }

    [Theory]
    [InlineData("\"version\": 1", "\"version\": 2", "no render jobs")]
    [InlineData("\"jobs\": [", "\"jobs\": [null, ", "job 0: it is empty")]
    [InlineData("b1.mov\",", "\\u0000b1.mov\",", "absolute file paths")]
    [InlineData("\"start_seconds\": 3.5", "\"start_seconds\": 1e30", "a time outside any clip")]
    [InlineData("\"frames\": 250", "\"frames\": -250", "a time outside any clip")]
    [InlineData("30000/1001", "30000/0", "frame_rate")]
    [InlineData("\"version\": 1", "\"version\": 1x", "no readable render jobs")]
    public void Read_AFileThatWasBroken_SaysWhichJobAndWhy(string text, string broken, string said)
    {
        string path = Written(), whole = File.ReadAllText(path);
        Assert.Contains(text, whole, StringComparison.Ordinal);
        File.WriteAllText(path, whole.Replace(text, broken, StringComparison.Ordinal));
        Assert.Contains(said, Assert.Throws<UnusableInputException>(() => RenderPlan.Read(path)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Parse_MutatedFiles_AreReadOrRefusedWithASentence()
    {
        string whole = File.ReadAllText(Written());
        Gen.Int[0, int.MaxValue - 1].Sample(
            number =>
            {
                string text = ReaderFuzz.Mutated(whole, new Random(number));
                Exception? fault = ReaderFuzz.Fault(text, t => RenderPlan.Parse(t, "fuzzed"));
                Assert.True(fault is null, $"input {number}: {fault}");
            },
            iter: 5_000);
    }

    private string Written()
    {
        string path = _folder.PathOf("jobs.json");
        RenderPlan.Write(path, Jobs(), force: true);
        return path;
    }

    private ImmutableArray<RenderJob> Jobs() =>
    [
        new(_folder.PathOf("b1.mov"), _folder.PathOf("b.cube"), _folder.PathOf("out", "b1.mov"))
        {
            Aligned = new RenderPlace(_folder.PathOf("b1.mov"), 3.5, 12),
            FrameRate = "30000/1001",
            Frames = 250,
            SoundFrom = [new RenderPlace(_folder.PathOf("a1.mov"), 0, 0)],
        },
        new(_folder.PathOf("b2.mov"), _folder.PathOf("b.cube"), _folder.PathOf("out", "b2.mov")),
    ];
}
