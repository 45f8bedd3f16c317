using Tonematch.Sync;
using Xunit;

namespace Tonematch.Core.Tests.Sync;

public class ClockTimeTests
{
    [Theory]
    [InlineData("12.48", 12.48)]
    [InlineData(" 0 ", 0)]
    [InlineData("-3.5", -3.5)]
    [InlineData("90", 90)]
    [InlineData("01:02:03.500", 3723.5)]
    [InlineData("2:03.25", 123.25)]
    [InlineData("-00:00:01.5", -1.5)]
    public void TryParse_SecondsAndClockTime_GivesSeconds(string text, double seconds)
    {
        Assert.True(ClockTime.TryParse(text, null, out double read, out _));
        Assert.Equal(seconds, read, 1e-12);
    }

    [Theory]
    [InlineData("", "empty")]
    [InlineData("abc", "not a time")]
    [InlineData("1,5", "comma")]
    [InlineData("00:61:00", "minutes are 61")]
    [InlineData("00:00:60", "seconds are 60")]
    [InlineData("NaN", "not a time")]
    [InlineData("1e3", "not a time")]
    [InlineData("--1", "not a time")]
    [InlineData("1:2:3:4:5", "not a time")]
    [InlineData("00:00:01:30", "goes to 24")]
    [InlineData("00:00:01;10", "29.97 and 59.94")]
    public void TryParse_NotATime_SaysWhatIsWrong(string text, string part)
    {
        Assert.False(ClockTime.TryParse(text, 25, out _, out string? error));
        Assert.Contains(part, error, StringComparison.Ordinal);
    }

    [Fact]
    public void TryParse_TimecodeWithoutARate_AsksForSeconds()
    {
        Assert.False(ClockTime.TryParse("00:00:01:10", null, out _, out string? error));
        Assert.Contains("in seconds", error, StringComparison.Ordinal);
    }

    // SMPTE ST 12-1, drop-frame counting (values from memory of the standard): two numbers are left out each minute but
    // every tenth, so a minute has 1798 frames, ten minutes 17982, an hour 107892; at 59.94 twice as many.
    [Theory]
    [InlineData("00:00:59;29", 29.97, 1799)]
    [InlineData("00:01:00;02", 29.97, 1800)]
    [InlineData("00:09:59;29", 29.97, 17981)]
    [InlineData("00:10:00;00", 29.97, 17982)]
    [InlineData("01:00:00;00", 29.97, 107892)]
    [InlineData("00:01:00;04", 59.94, 3600)]
    [InlineData("01:00:00;00", 59.94, 215784)]
    [InlineData("01:00:00:00", 25, 90000)]
    [InlineData("01:00:00:00", 23.976, 86400)]
    public void Timecode_AtItsRate_CountsRealFrames(string text, double rate, long frame)
    {
        Assert.True(Timecode.TryParse(text, rate, out Timecode? timecode, out _));
        Assert.Equal(frame, timecode.Frame);
    }

    [Theory]
    [InlineData("00:01:00;00")]
    [InlineData("00:01:00;01")]
    public void Timecode_NumberThatDropFrameLeavesOut_IsRefused(string text)
    {
        Assert.False(Timecode.TryParse(text, 29.97, out _, out string? error));
        Assert.Contains("does not exist", error, StringComparison.Ordinal);
    }

    // ST 12-1: drop-frame keeps to real time; 3600 s of counting are 3.6 ms short of an hour at 30000/1001.
    [Fact]
    public void Timecode_AnHourOfDropFrame_IsAnHourWithinAFrame()
    {
        Assert.True(Timecode.TryParse("01:00:00;00", 30000 / 1001.0, out Timecode? timecode, out _));
        Assert.Equal(3600, timecode.Seconds, 0.004);
    }
}
