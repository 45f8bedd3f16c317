using System.Collections.Immutable;
using Tonematch.Matching.Shoot;
using Tonematch.Media.Clips;
using Tonematch.Shoot;
using Xunit;

namespace Tonematch.Matching.Tests.Shoot;

public class ShootProbeTests
{
    private static readonly DateTimeOffset s_evening = new(2026, 11, 28, 20, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Mixed_ClipsOfTwoMakers_AreSaidToBeTwoCameras()
    {
        string said = Assert.Single(ShootProbe.Mixed("b", [Clip("one.mp4", "Maker One"), Clip("two.mp4", "Maker One"), Clip("other.mp4", "Maker Two")]));
        Assert.Contains("one.mp4 is from Maker One, other.mp4 from Maker Two", said, StringComparison.Ordinal);
    }

    [Fact]
    public void Mixed_OneMakerWhoseSettingsChanged_IsOneCamera() =>
        Assert.Empty(ShootProbe.Mixed("b", [Clip("one.mp4", "Maker One"), Clip("two.mp4", "Maker One") with { Codec = "hevc", BitDepth = 10 }]));

    [Fact]
    public void Mixed_NoMakerNamed_GoesByCodecAndSound()
    {
        Assert.Empty(ShootProbe.Mixed("b", [Clip("one.mp4", null), Clip("two.mp4", null)]));
        Assert.Contains("looks like two cameras", Assert.Single(ShootProbe.Mixed("b", [Clip("one.mp4", null), Clip("two.mp4", null) with { Codec = "hevc" }])), StringComparison.Ordinal);
    }

    [Fact]
    public void OtherDays_OneClipOfLastWeek_IsNamed()
    {
        ClipInfo[] clips = [Clip("a.mp4", null), Clip("b.mp4", null) with { RecordedAt = s_evening.AddHours(3) }, Clip("old.mp4", null) with { RecordedAt = s_evening.AddDays(-7) }];
        Assert.StartsWith("'old.mp4' is dated 2026-11-21", Assert.Single(ShootProbe.OtherDays("b", clips)), StringComparison.Ordinal);
    }

    // A clock that is wrong for all of a camera's clips shows in no difference between them.
    [Fact]
    public void OtherDays_CameraWhoseClockIsYearsOff_SaysNothing() =>
        Assert.Empty(ShootProbe.OtherDays("b", [.. Enumerable.Range(0, 5).Select(k => Clip($"{k}.mp4", null) with { RecordedAt = new DateTimeOffset(2015, 1, 1, k, 0, 0, TimeSpan.Zero) })]));

    [Fact]
    public void DeviceTime_DatesAndTimecodesInOneCamera_AreNotMixed()
    {
        ClipInfo dated = Clip("a.mp4", null), coded = Clip("b.mp4", null) with { Timecode = "20:15:00:00" };
        Assert.Null(DeviceTimes.Of(dated, new ShootCamera("b", [dated, coded])));
        Assert.Equal((20 * 3600) + (15 * 60), DeviceTimes.Of(coded, new ShootCamera("b", [dated, coded]))!.Seconds, 1e-6);
    }

    [Fact]
    public void DeviceTime_DatesAlone_DifferByTheTimeBetweenThem()
    {
        ClipInfo one = Clip("a.mp4", null), two = Clip("b.mp4", null) with { RecordedAt = s_evening.AddMinutes(7) };
        ImmutableArray<ClipInfo> both = [one, two];
        DeviceTime first = DeviceTimes.Of(one, new ShootCamera("b", both))!, second = DeviceTimes.Of(two, new ShootCamera("b", both))!;
        Assert.Equal(420, second.Seconds - first.Seconds, 1e-6);
        Assert.True(first.ErrorSeconds >= 1);
    }

    private static ClipInfo Clip(string name, string? device) => MadeClip.Of(name, 640, 360) with { Device = device, RecordedAt = s_evening };
}
