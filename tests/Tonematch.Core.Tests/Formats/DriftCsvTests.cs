using Tonematch.Drift;
using Tonematch.Formats;
using Xunit;

namespace Tonematch.Core.Tests.Formats;

public class DriftCsvTests
{
    [Fact]
    public void Write_ReadBack_GivesTheSameCourse()
    {
        DriftTrack track = new([new DriftPoint(0.04, new(0.1, -12.5, 0.003), new(0.01, 1, 0.02)), new DriftPoint(1.0 / 3, new(-0.7, 40, 0), new(0.02, 2, 0.01))]);
        StringWriter text = new();
        DriftCsv.Write(text, track);
        Assert.Equal(track.Points, DriftCsv.Read(new StringReader(text.ToString()), "drift.csv").Points);
    }

    [Fact]
    public void Read_WhatAPersonWouldWrite_IsTaken()
    {
        DriftTrack track = DriftCsv.Read(new StringReader("# mine\r\n\r\nseconds, stops, mired, green_magenta\r\n0, 0, 0, 0\r\n# up\r\n12.5, 0.5, -20, 0\r\n"), "drift.csv");
        Assert.Equal(new DriftValue(0.25, -10, 0), track.At(6.25));
    }

    [Theory]
    [InlineData("", "holds no points")]
    [InlineData("stops,seconds\n1,2", "line 1")]
    [InlineData("seconds,stops,mired,green_magenta\n", "holds no points")]
    [InlineData("seconds,stops,mired,green_magenta\n1,2,3", "line 2: there are 3 values")]
    [InlineData("seconds,stops,mired,green_magenta\n1,a,3,4", "'a' is not a number")]
    [InlineData("seconds,stops,mired,green_magenta\n1,NaN,3,4", "not a number")]
    [InlineData("seconds,stops,mired,green_magenta\n1,0,0,0\n1,0,0,0", "line 3: its time")]
    [InlineData("seconds,stops,mired,green_magenta\n1,99,0,0", "beyond")]
    public void Read_WhatIsNoCourse_IsRefusedWithTheLine(string text, string says) => Assert.Contains(
        says, Assert.Throws<UnusableInputException>(() => DriftCsv.Read(new StringReader(text), "drift.csv")).Message, StringComparison.Ordinal);
}
