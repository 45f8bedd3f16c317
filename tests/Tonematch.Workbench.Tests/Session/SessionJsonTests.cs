using System.Reflection;
using System.Text.RegularExpressions;
using Tonematch.Corrections;
using Tonematch.Matching.Requests;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Testing;
using Tonematch.Workbench.Api;
using Tonematch.Workbench.Jobs;
using Tonematch.Workbench.Session;
using Xunit;

namespace Tonematch.Workbench.Tests.Session;

public class SessionJsonTests
{
    private static readonly WorkbenchSession s_full = new()
    {
        Primary = "wide.mp4",
        LutSize = 17,
        Secondaries =
        [
            new SessionMatch("hands \"close\".mp4")
            {
                OffsetSeconds = -2.3836,
                DriftPpm = 3.5,
                Method = SamplingMethod.Chart,
                Chart = "chart24",
                At = ["3.24"],
                PrimaryChart = [new(10, 20), new(110.5, 20), new(110, 90), new(10, 90)],
                SecondaryChart = [new(1, 2), new(3, 2), new(3, 4), new(1, 4)],
                Model = CorrectionKind.Matrix,
                Trim = new Trim { ExposureStops = 0.3, SkinKept = 0.5 },
                Edits = new SampleEdits
                {
                    LeftOut = SampleEdits.None.LeftOut.Add("patch-07@3.240"),
                    Weights = SampleEdits.None.Weights.Add("face", 2),
                    Marked = [new RegionPair("face", RegionShape.Box(0.1, 0.2, 0.05, 0.05), new RegionShape([new(0.1, 0.1), new(0.3, 0.1), new(0.2, 0.3)]), 3.24)],
                },
            },
            new SessionMatch("other.mp4"),
        ],
    };

    [Fact]
    public void Session_WrittenAndRead_IsTheSame()
    {
        string text = SessionJson.Write(s_full, p => p);
        WorkbenchSession back = SessionJson.Read(text, "s.json", p => p);
        Assert.Equal(text, SessionJson.Write(back, p => p));
        SessionMatch match = back.Secondaries[0];
        Assert.Equal((-2.3836, 3.5, SamplingMethod.Chart, CorrectionKind.Matrix), (match.OffsetSeconds!.Value, match.DriftPpm, match.Method!.Value, match.Model!.Value));
        Assert.Equal(new PicturePoint(110.5, 20), match.PrimaryChart!.Value[1]);
        Assert.Equal((0.3, 0.5), (match.Trim.ExposureStops, match.Trim.SkinKept));
        Assert.Equal(2, match.Edits.Weights["face"]);
        Assert.Equal(3.24, match.Edits.Marked[0].AtSeconds);
    }

    [Fact]
    public void Session_MutatedFiles_AreReadOrRefusedWithASentence()
    {
        string whole = SessionJson.Write(s_full, p => p);
        for (int number = 0; number < 5_000; number++)
        {
            string text = ReaderFuzz.Mutated(whole, new Random(number));
            Exception? fault = ReaderFuzz.Fault(text, t => SessionJson.Read(t, "fuzzed", p => Path.GetFullPath(Path.Combine(Path.GetTempPath(), p))));
            Assert.True(fault is null, $"input {number}: {fault}");
        }
    }

    [Fact]
    public void Session_OnDisk_NamesClipsRelativeToItself()
    {
        using TempFolder folder = new();
        Directory.CreateDirectory(folder.PathOf("match"));
        string file = folder.PathOf("match", WorkbenchSession.FileName), clip = folder.PathOf("clips", "wide.mp4");
        SessionFile.Write(file, new WorkbenchSession { Primary = clip });
        Assert.Contains("\"../clips/wide.mp4\"", File.ReadAllText(file), StringComparison.Ordinal);
        Assert.Equal(clip, SessionFile.Read(file).Primary);
    }

    [Theory]
    [InlineData("{}", "schema")]
    [InlineData("[]", "not an object")]
    [InlineData("{\"schema\":\"tonematch-workbench-1\",\"colour\":1}", "unknown member 'colour'")]
    [InlineData("{\"schema\":\"tonematch-workbench-1\",\"primary\":1}", "'primary' is not a text")]
    [InlineData("{\"schema\":\"tonematch-workbench-1\",\"lut_size\":1}", "lut_size")]
    [InlineData("{\"schema\":\"tonematch-workbench-1\",\"secondaries\":[{}]}", "no 'clip'")]
    [InlineData("{\"schema\":\"tonematch-workbench-1\",\"secondaries\":[{\"clip\":\"a\",\"model\":\"magic\"}]}", "magic")]
    [InlineData("{\"schema\":\"tonematch-workbench-1\",\"secondaries\":[{\"clip\":\"a\",\"primary_chart\":[[1,2]]}]}", "not four corners")]
    [InlineData("{\"schema\":\"tonematch-workbench-1\",\"secondaries\":[{\"clip\":\"a\",\"weights\":{\"x\":1000}}]}", "weight of 'x'")]
    [InlineData("{\"schema\":\"tonematch-workbench-1\",\"secondaries\":[{\"clip\":\"a\",\"trim\":{\"exposure_stops\":9}}]}", "exposure_stops")]
    [InlineData("{\"schema\":\"tonematch-workbench-1\",", "not well-formed")]
    public void Session_ThatIsWrong_IsRefusedWithItsNameAndTheReason(string text, string reason)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => SessionJson.Read(text, "s.json", p => p));
        Assert.StartsWith("s.json", e.Message, StringComparison.Ordinal);
        Assert.Contains(reason, e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Session_RegionsAlone_AreAllThereIsAndNotAnAddition()
    {
        MatchRequest request = s_full.RequestOf(s_full.Secondaries[0] with { Method = SamplingMethod.Regions });
        Assert.Equal((1, 0, "3.24"), (request.Regions.Length, request.Edits.Marked.Length, request.At.Single()));
    }

    [Fact]
    public void Edits_OfAKindThatNeedsNoNewLook_KeepTheSamples()
    {
        MatchTask before = MatchTask.Of(s_full, s_full.Secondaries[0]), after = MatchTask.Of(s_full, s_full.Secondaries[0] with { Trim = Trim.None, Edits = SampleEdits.None, Model = null });
        Assert.Equal(before.SamplingKey, after.SamplingKey);
        Assert.NotEqual(before.EditsKey, after.EditsKey);
        Assert.NotEqual(before.SamplingKey, MatchTask.Of(s_full, s_full.Secondaries[0] with { OffsetSeconds = 0 }).SamplingKey);
    }

    [Theory]
    [InlineData(typeof(ClipMessage))]
    [InlineData(typeof(RegionMessage))]
    [InlineData(typeof(SessionMatchMessage))]
    [InlineData(typeof(SessionMessage))]
    [InlineData(typeof(SyncMessage))]
    [InlineData(typeof(KindMessage))]
    [InlineData(typeof(InstantMessage))]
    [InlineData(typeof(MatchMessage))]
    [InlineData(typeof(PairMessage))]
    [InlineData(typeof(JobState))]
    public void Page_KnowsTheVeryNamesThatTheServerSends(Type message)
    {
        using StreamReader reader = new(typeof(WorkbenchServer).Assembly.GetManifestResourceStream("web/state/types.js")!);
        Match typedef = Regex.Match(reader.ReadToEnd(), $@"@typedef \{{\{{(.*)\}}\}} {message.Name} ");
        Assert.True(typedef.Success, $"types.js has no {message.Name}");
        string[] page = [.. Regex.Matches(typedef.Groups[1].Value, @"(?:^|[,{] ?)\s*(\w+):").Select(m => m.Groups[1].Value).Order()];
        string[] server = [.. message.GetProperties(BindingFlags.Public | BindingFlags.Instance).Where(p => p.Name != "EqualityContract").Select(p => char.ToLowerInvariant(p.Name[0]) + p.Name[1..]).Order()];
        Assert.Equal(server, page);
    }

    [Fact]
    public void Page_Script_StaysBelowThreeThousandLines()
    {
        Assembly assembly = typeof(WorkbenchServer).Assembly;
        int lines = assembly.GetManifestResourceNames().Where(n => n.EndsWith(".js", StringComparison.Ordinal)).Sum(n =>
        {
            using StreamReader reader = new(assembly.GetManifestResourceStream(n)!);
            return reader.ReadToEnd().Split('\n').Length;
        });
        Assert.InRange(lines, 500, 3000);
    }
}
