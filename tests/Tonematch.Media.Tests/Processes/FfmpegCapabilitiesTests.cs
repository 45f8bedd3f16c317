using System.Collections.Frozen;
using Tonematch.Media.Processes;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Processes;

public sealed class FfmpegCapabilitiesTests
{
    // The first lines that FFmpeg 5.1, 7.1 and 9.0 of Debian say, and the beginnings of their lists of filters.
    private const string Banner = "ffmpeg version 7.1.5-0+deb13u1 Copyright (c) 2000-2026 the FFmpeg developers\n  built with gcc 14 (Debian 14.2.0-19)\n";

    private const string Filters = """
        Filters:
          T.. = Timeline support
          A = Audio input/output
         ... abench            A->A       Benchmark part of a filtergraph.
         TSC scale             V->V       Scale the input video size and/or convert the image format.
         ... interleave        N->N       Temporally interleave video inputs.
         ..  testsrc2          |->V       Generate another test pattern.
        """;

    [Theory]
    [InlineData("4.4.2-0ubuntu0.22.04.1", "-vsync")]
    [InlineData("5.0.1", "-vsync")]
    [InlineData("5.1.9-0+deb12u1", "-fps_mode")]
    [InlineData("n7.1", "-fps_mode")]
    [InlineData("9.0-3", "-fps_mode")]
    [InlineData("10.1", "-fps_mode")]
    [InlineData("N-110000-gabcdef", "-fps_mode")]
    public void PassEveryFrame_EachVersion_IsSpeltAsThatVersionHasIt(string version, string option) =>
        Assert.Equal([option, "passthrough"], new FfmpegCapabilities(version, FrozenSet<string>.Empty).PassEveryFrame);

    [Fact]
    public void Parse_AnswerOfFfmpeg_GivesVersionAndFilters()
    {
        FfmpegCapabilities can = FfmpegCapabilities.Parse(Banner, Filters);
        Assert.Equal("7.1.5-0+deb13u1", can.Version);
        Assert.Equal(["abench", "interleave", "scale", "testsrc2"], can.Filters.Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Judge_FfmpegWithoutZimgAndX265_NamesBothAndReadsClipsAllTheSame()
    {
        FfmpegFindings found = FfmpegCheck.Judge(
            new FfmpegCapabilities("8.0", FrozenSet.ToFrozenSet(
                ["aformat", "aresample", "concat", "format", "scale", "select", "showinfo", "asetpts", "atrim", "crop", "fps", "hstack", "interleave", "lut3d", "pad", "setparams", "setpts", "setsar", "sidedata", "split", "trim"])),
            FrozenSet.ToFrozenSet(["aac", "libx264", "prores_ks"]));
        Assert.Empty(found.MissingForReading);
        Assert.Equal(["zscale", "libx265"], found.MissingForWriting);
        Assert.False(found.IsWhole);
    }

    [Fact]
    public void Judge_VersionBefore44_IsTooOld() =>
        Assert.True(FfmpegCheck.Judge(new FfmpegCapabilities("4.3.9-0+deb11u1", FrozenSet<string>.Empty), FrozenSet<string>.Empty).IsTooOld);

    // The names asked for are names that FFmpeg has: one spelt wrongly would be missing everywhere.
    [Fact]
    public async Task Check_FfmpegOfADistribution_HasEverythingThatIsUsed()
    {
        ExternalTool.Ffmpeg();
        FfmpegFindings found = await FfmpegCheck.RunAsync(TestContext.Current.CancellationToken);
        Assert.Null(found.Fault);
        Assert.Empty(found.MissingForReading);
        Assert.Empty(found.MissingForWriting);
        Assert.True(found.IsWhole);
    }
}
