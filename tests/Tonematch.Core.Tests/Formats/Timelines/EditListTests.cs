using System.Text.RegularExpressions;
using Tonematch.Formats.Timelines;
using Tonematch.Shoot;
using Tonematch.Sync;
using Xunit;

namespace Tonematch.Core.Tests.Formats.Timelines;

public class EditListTests
{
    [Fact]
    public void Write_TwoClips_StandInTheColumnsOfTheFormat()
    {
        Timeline timeline = new("evening", 25, 36000, false, [new TimelineTrack("phone", true,
        [
            new TimelineClip("IMG_0001 long name.mov", "phone/IMG_0001.mov", 10, 4, 30) { MediaStartSeconds = 3600, Correction = "phone.cube" },
            new TimelineClip("IMG_0001 long nome.mov", "phone/IMG_0002.mov", 20.04, 2, 30),
        ])]);
        string[] lines = Lines(timeline);
        Assert.Equal(
            [
                "TITLE: evening phone", "FCM: NON-DROP FRAME", "",
                "001  IMG0001L V     C        01:00:00:00 01:00:04:00 10:00:10:00 10:00:14:00",
                "* FROM CLIP NAME: IMG_0001 long name.mov", "* CORRECTION: phone.cube",
                "002  IMG00012 V     C        00:00:00:00 00:00:02:00 10:00:20:01 10:00:22:01",
                "* FROM CLIP NAME: IMG_0001 long nome.mov",
            ], lines);
    }

    [Fact]
    public void Write_DropFrameTimeline_CountsWithDroppedNumbersAndSaysSo()
    {
        Timeline timeline = new("evening", 30000 / 1001.0, 0, true, [new TimelineTrack("B", true, [new TimelineClip("b.mp4", "b.mp4", 60.06, 10, 30)])]);
        string[] lines = Lines(timeline);
        Assert.Equal("FCM: DROP FRAME", lines[1]);
        Assert.EndsWith("00:01:00;02 00:01:10;02", lines[3], StringComparison.Ordinal);
        Assert.Matches(new Regex(@"^\d{3}  \w{1,8} +V +C +(\d\d:\d\d:\d\d[:;]\d\d ){3}\d\d:\d\d:\d\d[:;]\d\d$"), lines[3]);
    }

    // SMPTE ST 12-1: numbers 0 and 1 of every minute but each tenth do not exist; ten minutes are 17 982 frames.
    [Theory]
    [InlineData(1799, "00:00:59;29")]
    [InlineData(1800, "00:01:00;02")]
    [InlineData(3597, "00:01:59;29")]
    [InlineData(3598, "00:02:00;02")]
    [InlineData(17981, "00:09:59;29")]
    [InlineData(17982, "00:10:00;00")]
    [InlineData(107892, "01:00:00;00")]
    [InlineData(-1, "23:59:59;29")]
    public void AtFrame_DropFrame_SkipsTheNumbersThatDoNotExist(long frame, string code) =>
        Assert.Equal(code, Timecode.AtFrame(frame, 29.97, true).ToString());

    [Theory]
    [InlineData(29.97, true)]
    [InlineData(59.94, true)]
    [InlineData(23.976, false)]
    [InlineData(25, false)]
    [InlineData(50, false)]
    public void AtFrame_EveryFrameOfTwentyMinutes_ReadsBackAsTheSameFrame(double rate, bool drop)
    {
        for (long frame = 0; frame < 1200 * rate; frame++)
        {
            Assert.True(Timecode.TryParse(Timecode.AtFrame(frame, rate, drop).ToString(), rate, out Timecode? back, out _));
            Assert.Equal(frame, back.Frame);
        }
    }

    [Fact]
    public void PlacementTable_SureAndUnplacedClips_AreToldApart()
    {
        ShootClip[] clips = [new("A", "a, first.mp4", 100), new("B", "b1.mp4", 50), new("B", "b2.mp4", 50)];
        Meeting met = new(0, 1, new SyncFound(-10, 0, 0.999, SyncMethod.Sound, new SyncEvidence { OverlapSeconds = 50, OverlapStartSeconds = 10, OffsetErrorSeconds = 0.001 }));
        ShootTimes times = ShootClock.Solve(clips, [met]);
        Timeline timeline = new("evening", 25, 0, false, []);
        StringWriter csv = new(), text = new();
        PlacementTable.WriteCsv(csv, times, timeline);
        PlacementTable.WriteText(text, times, timeline);
        string[] rows = csv.ToString().Split('\n');
        Assert.Equal(PlacementTable.Header, rows[0]);
        Assert.StartsWith("A,\"a, first.mp4\",00:00:00:00,00:01:40:00,0,100,", rows[1], StringComparison.Ordinal);
        Assert.StartsWith("B,b1.mp4,00:00:10:00,00:01:00:00,10,60,0,", rows[2], StringComparison.Ordinal);
        Assert.Contains(",yes,1 meeting,", rows[2], StringComparison.Ordinal);
        Assert.StartsWith("B,b2.mp4,,,,,,,0,no,nothing,,", rows[3], StringComparison.Ordinal);
        Assert.Contains("00:00:10:00  00:01:00:00  b1.mp4, 1 other clip heard the same\n", text.ToString(), StringComparison.Ordinal);
        Assert.Contains("no place      b2.mp4", text.ToString(), StringComparison.Ordinal);
    }

    private static string[] Lines(Timeline timeline)
    {
        StringWriter text = new();
        EditList.Write(text, timeline, timeline.Tracks[0]);
        return text.ToString().TrimEnd('\n').Split('\n');
    }
}
