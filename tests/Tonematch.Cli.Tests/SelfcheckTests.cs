using Tonematch.Cli.Commands;
using Tonematch.Media.Files;
using Tonematch.Media.Processes;
using Tonematch.Testing;
using Tonematch.Vision;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>What is said of a machine, and what the program does where the vision library is not.</summary>
public sealed class SelfcheckTests : IDisposable
{
    private const string NativeFile = "libOpenCvSharpExtern.so";

    private static readonly FfmpegFindings s_ffmpeg = new() { FfmpegPath = "/usr/bin/ffmpeg", FfprobePath = "/usr/bin/ffprobe", Version = "7.1" };
    private static readonly TemporaryFolder s_temporary = new("/tmp/", 5_000_000_000, null);
    private static readonly VisionLibrary s_vision = new("4.13.0", null, [], IsForThisSystem: true);

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public void Report_NothingMissing_IsWholeAndNeedsNoCommand()
    {
        SelfcheckReport report = SelfcheckReport.Of(s_ffmpeg, s_vision, s_temporary, PackageSystem.Apt);
        Assert.True(report.IsWhole);
        Assert.Null(report.Remedy);
        Assert.Contains(report.Parts, p => p.Text.Contains("5.0 GB free", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(PackageSystem.AptAsRoot, "apt-get install -y ffmpeg libatomic1")]
    [InlineData(PackageSystem.Apt, "sudo apt-get install -y ffmpeg libatomic1")]
    [InlineData(PackageSystem.Unknown, null)]
    internal void Report_FfmpegAndALibraryMissing_IsMendedByOneCommand(PackageSystem system, string? command)
    {
        SelfcheckReport report = SelfcheckReport.Of(
            new FfmpegFindings { Fault = "not found" }, new VisionLibrary(null, "lacks libatomic.so.1", ["libatomic1"], IsForThisSystem: true), s_temporary, system);
        Assert.False(report.IsWhole);
        Assert.Equal(command, report.Remedy);
    }

    [Fact]
    public void Report_FfmpegBuiltWithoutAFilter_NamesIt()
    {
        SelfcheckReport report = SelfcheckReport.Of(s_ffmpeg with { MissingForWriting = ["zscale"] }, s_vision, s_temporary, PackageSystem.Apt);
        Assert.False(report.IsWhole);
        Assert.Contains(report.Parts, p => !p.IsHere && p.Text.Contains("zscale", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Selfcheck_AsJson_SaysThatAllIsHereWhereItIs()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        ExternalTool.Ffmpeg();
        ProgramRun run = (await BuiltProgram.RunAsync("selfcheck", "--json")).Ended(0);
        Assert.True(run.Json.GetProperty("is_whole").GetBoolean());
        Assert.Equal(5, run.Json.GetProperty("parts").GetArrayLength());
    }

    [Fact]
    public async Task Program_WithoutTheVisionLibrary_RefusesWhatNeedsItAndDoesWhatDoesNot()
    {
        string program = CopyWithoutVision();
        string[] pictures = [_folder.PathOf("a.png"), _folder.PathOf("b.png")];
        foreach ((string path, string colours) in pictures.Zip((string[])["c0=0x203060:c1=0xE0C090", "c0=0x304060:c1=0xD0B098"]))
        {
            ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", $"gradients=s=320x180:{colours}:n=2:d=1:r=1", "-frames:v", "1", "-update", "1", path]);
        }

        ProgramRun check = (await BuiltProgram.RunProgramAsync(program, null, "selfcheck")).Ended(3).Prints("MISSING", "vision library");
        Assert.Contains("cannot do the whole job", check.Error, StringComparison.Ordinal);
        foreach (string[] arguments in (string[][])
            [
                ["match", .. pictures, "--out", _folder.PathOf("match")],
                ["sample", .. pictures, "--out", _folder.PathOf("pairs.csv")],
                ["check", .. pictures],
                ["match", .. pictures, "--out", _folder.PathOf("match"), "--method", "overlap"],
                ["demo", "--out", _folder.PathOf("demo")],
            ])
        {
            (await BuiltProgram.RunProgramAsync(program, null, arguments)).Ended(3).Says("vision library", "--region", "--method overall");
        }

        Assert.False(Directory.Exists(_folder.PathOf("match")));
        (await BuiltProgram.RunProgramAsync(program, null, ["sample", .. pictures, "--out", _folder.PathOf("pairs.csv"), "--method", "overall"])).Ended(0);
        (await BuiltProgram.RunProgramAsync(program, null, ["sample", .. pictures, "--out", _folder.PathOf("marked.csv"), "--region", "wall=0.1,0.1,0.3,0.3:0.1,0.1,0.3,0.3"])).Ended(0);
    }

    // The published program, but for its native library.
    private string CopyWithoutVision()
    {
        string from = Path.GetDirectoryName(BuiltProgram.FullPath)!, to = Directory.CreateDirectory(_folder.PathOf("program")).FullName;
        Assert.SkipUnless(File.Exists(Path.Combine(from, NativeFile)), "the program was built without a vision library");
        foreach (string file in Directory.GetFiles(from).Where(f => Path.GetFileName(f) != NativeFile))
        {
            File.Copy(file, Path.Combine(to, Path.GetFileName(file)));
        }

        return Path.Combine(to, Path.GetFileName(BuiltProgram.FullPath));
    }
}
