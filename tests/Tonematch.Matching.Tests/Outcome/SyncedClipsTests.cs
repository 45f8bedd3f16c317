using Tonematch.Colour;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Sync;
using Xunit;

namespace Tonematch.Matching.Tests.Outcome;

public class SyncedClipsTests
{
    [Fact]
    public void Overlap_SecondaryBeginsLater_BeginsThereAndEndsWithTheLastFrameOfTheFirstToEnd()
    {
        // By hand: 10 s at 25 frames per second end with the frame at 9.96 s; B begins 2 s after A.
        SyncedClips clips = Clips(SyncFound.Given(-2));
        Assert.Equal((2, 9.96), clips.Overlap());
    }

    [Fact]
    public void Overlap_NothingInCommon_SaysSo()
    {
        string sentence = Assert.Throws<NoTrustworthyResultException>(() => Clips(SyncFound.Given(-60)).Overlap()).Message;
        Assert.Contains("-60 s", sentence, StringComparison.Ordinal);
        Assert.Contains("--offset", sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void NearestFrameAt_AsksHalfAFrameLaterAndNeverOutsideTheClip()
    {
        SyncedClips clips = Clips(SyncFound.Given(-2));
        Assert.Equal(1.02, clips.NearestFrameAt(3), 1e-9);
        Assert.Equal(0, clips.NearestFrameAt(0));
        Assert.Equal(9.96, clips.NearestFrameAt(1000), 1e-9);
    }

    [Fact]
    public void Of_AnEncodingThatTheUserNames_ComesBeforeTheTags()
    {
        MatchRequest request = new("a", "b") { Secondary = new("b") { Encoding = SignalEncoding.Hlg } };
        SyncedClips clips = SyncedClips.Of(MadeClip.Of("a", 640, 360), MadeClip.Of("b", 640, 360), null, request);
        Assert.Equal((SignalEncoding.Bt709, SignalEncoding.Hlg), (clips.PrimaryEncoding, clips.SecondaryEncoding));
        Assert.Equal((0, 0), clips.Overlap());
    }

    private static SyncedClips Clips(SyncFound sync) => new(MadeClip.Of("a", 640, 360), MadeClip.Of("b", 640, 360), sync);
}
