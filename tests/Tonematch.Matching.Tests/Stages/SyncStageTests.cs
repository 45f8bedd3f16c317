using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Media.Clips;
using Tonematch.Sync;
using Tonematch.Sync.Sound;
using Tonematch.Testing.Sounds;
using Xunit;

namespace Tonematch.Matching.Tests.Stages;

/// <summary>By hand, by sound, by light, by timecode, in this order; and every way to be refused.</summary>
public class SyncStageTests
{
    private const int Rate = 16000;
    private const double Seconds = 20;

    // The pictures of B show what A's showed 2 s before: t_B = t_A + 2.
    private const double Offset = 2;

    private static readonly float[] s_event = MadeSound.Mix(MadeSound.RandomClaps(Rate, Seconds + 6, 2, 1), MadeSound.Rushing(Rate, Seconds + 6, 2), 0.02);

    private static readonly (double Light, double Motion)[] s_seen = Steps(new Random(5));

    [Fact]
    public async Task Run_OffsetByHand_ComesBeforeTheSameMomentAndNothingIsListenedTo()
    {
        MadeClipReader reader = new();
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a"), sound: Heard(4)), reader.Add(Clip("b"), sound: Heard(2)));
        SyncStage.Result result = await RunAsync(reader, a, b, r => r with { OffsetSeconds = -3.5, SameMoment = ("12.4", "5.0") }, wantsMoment: true);
        Assert.Equal((-3.5, SyncMethod.Given), (result.Found.OffsetSeconds, result.Found.Method));
        Assert.Null(result.Moment);
        Assert.Empty(reader.Asked);
    }

    // By hand: the moment at 12.4 s of A is the one at 5 s of B; 12:10 is frame 10 of second 12 at 25 frames per second.
    [Theory]
    [InlineData("12.4", "5.0")]
    [InlineData("00:00:12:10", "00:00:05.000")]
    public async Task Run_SameMomentByHand_IsTheDifferenceOfItsTimes(string inA, string inB)
    {
        MadeClipReader reader = new();
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a"), sound: Heard(4)), reader.Add(Clip("b"), sound: Heard(2)));
        SyncStage.Result result = await RunAsync(reader, a, b, r => r with { SameMoment = (inA, inB) });
        Assert.Equal(-7.4, result.Found.OffsetSeconds, 1e-9);
        Assert.Empty(reader.Asked);
    }

    [Fact]
    public async Task Run_SameMomentThatIsNoTime_SaysSo()
    {
        MadeClipReader reader = new();
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a")), reader.Add(Clip("b")));
        UnusableInputException e = await Assert.ThrowsAsync<UnusableInputException>(() => RunAsync(reader, a, b, r => r with { SameMoment = ("noon", "5") }));
        Assert.Contains("'noon' is not a time", e.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Run_BothHeardIt_TheSoundDecidesAndThePicturesConfirm(bool wantsMoment)
    {
        MadeClipReader reader = new();
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a"), sound: Heard(4), light: Seen(0)), reader.Add(Clip("b"), sound: Heard(4 - Offset), light: Seen(Offset)));
        SyncStage.Result result = await RunAsync(reader, a, b, r => r, wantsMoment);
        Assert.Equal(SyncMethod.Sound, result.Found.Method);
        Assert.Equal(Offset, result.Found.OffsetSeconds, 0.001);
        Assert.Empty(result.Found.Warnings);
        Assert.Equal(wantsMoment, result.Moment is not null);
        Assert.Equal(["light a", "light b", "sound a", "sound b"], reader.Asked.Order());
    }

    [Fact]
    public async Task Run_PicturesSayAnotherOffsetThanTheSound_ItIsTheFirstWarning()
    {
        MadeClipReader reader = new();
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a"), sound: Heard(4), light: Seen(0)), reader.Add(Clip("b"), sound: Heard(4 - Offset), light: Seen(Offset + 0.4)));
        SyncFound found = (await RunAsync(reader, a, b, r => r)).Found;
        Assert.Equal(Offset, found.OffsetSeconds, 0.001);
        Assert.Contains("put camera B 0.4", found.Warnings[0], StringComparison.Ordinal);
        Assert.Contains("earlier than the sound does", found.Warnings[0], StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(false, "b has no sound.")]
    [InlineData(true, "sound is silent.")]
    public async Task Run_NothingToHear_LightAndMotionDecideAndItIsSaid(bool silent, string why)
    {
        MadeClipReader reader = new();
        MonoSound? nothing = silent ? new MonoSound(new float[(int)(Seconds * Rate)], Rate, 0) : null;
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a", "10:00:00:00"), sound: Heard(4), light: Seen(0)), reader.Add(Clip("b", "10:00:00:00"), sound: nothing, light: Seen(Offset)));
        SyncFound found = (await RunAsync(reader, a, b, r => r)).Found;
        Assert.Equal(SyncMethod.Light, found.Method);
        Assert.Equal(Offset, found.OffsetSeconds, 0.04);
        Assert.Contains(why, found.Warnings[0], StringComparison.Ordinal);
        Assert.Contains("light and motion in the pictures instead", found.Warnings[0], StringComparison.Ordinal);
    }

    // By hand: A begins at 10:00:00:00, B 2 s before it; so B's time is 2 s more.
    [Fact]
    public async Task Run_NothingToHearAndNothingMoves_TheTimecodeDecidesAndItIsSaid()
    {
        MadeClipReader reader = new();
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a", "10:00:00:00")), reader.Add(Clip("b", "09:59:58:00")));
        SyncFound found = (await RunAsync(reader, a, b, r => r)).Found;
        Assert.Equal((2, SyncMethod.Timecode), (found.OffsetSeconds, found.Method));
        Assert.Contains("a has no sound.", found.Warnings[0], StringComparison.Ordinal);
        Assert.Contains(found.Warnings, w => w.Contains("timecodes", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Run_NothingTellsTheOffset_IsRefusedWithEveryReasonAndTheWayByHand()
    {
        MadeClipReader reader = new();
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a")), reader.Add(Clip("b")));
        NoTrustworthyResultException e = await Assert.ThrowsAsync<NoTrustworthyResultException>(() => RunAsync(reader, a, b, r => r));
        Assert.Contains("a has no sound.", e.Message, StringComparison.Ordinal);
        Assert.Contains("neither the light nor anything in the picture changes", e.Message, StringComparison.Ordinal);
        Assert.EndsWith("for example --same-moment 12.4,5.0.", e.Message, StringComparison.Ordinal);
    }

    // Light and timecode would give an offset: they must not overrule sounds that disagree.
    [Fact]
    public async Task Run_SoundsOfTwoEvents_IsRefusedWithoutALookAtThePictures()
    {
        MadeClipReader reader = new();
        MonoSound other = new(MadeSound.Speech(Rate, Seconds, 9), Rate, 0);
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a", "10:00:00:00"), sound: Heard(4), light: Seen(0)), reader.Add(Clip("b", "09:59:58:00"), sound: other, light: Seen(Offset)));
        NoTrustworthyResultException e = await Assert.ThrowsAsync<NoTrustworthyResultException>(() => RunAsync(reader, a, b, r => r));
        Assert.StartsWith("The two sounds have nothing in common", e.Message, StringComparison.Ordinal);
        Assert.Contains("Their timecodes would line them up (10:00:00:00 and 09:59:58:00)", e.Message, StringComparison.Ordinal);
        Assert.Contains("give --offset 2.", e.Message, StringComparison.Ordinal);
        Assert.Contains("--same-moment", e.Message, StringComparison.Ordinal);
        Assert.DoesNotContain(reader.Asked, asked => asked.StartsWith("light", StringComparison.Ordinal));
    }

    // By hand: an hour apart, and neither clip lasts that long.
    [Fact]
    public async Task Run_SoundsDisagreeAndTimecodesDoNotMeet_NamesThem()
    {
        MadeClipReader reader = new();
        MonoSound other = new(MadeSound.Speech(Rate, Seconds, 9), Rate, 0);
        (ClipInfo a, ClipInfo b) = (reader.Add(Clip("a", "10:00:00:00"), sound: Heard(4)), reader.Add(Clip("b", "11:00:00:00"), sound: other));
        NoTrustworthyResultException e = await Assert.ThrowsAsync<NoTrustworthyResultException>(() => RunAsync(reader, a, b, r => r));
        Assert.Contains("Their timecodes (10:00:00:00 and 11:00:00:00) do not line them up either.", e.Message, StringComparison.Ordinal);
    }

    private static Task<SyncStage.Result> RunAsync(
        MadeClipReader reader, ClipInfo a, ClipInfo b, Func<MatchRequest, MatchRequest> change, bool wantsMoment = false) =>
        SyncStage.RunAsync(a, b, change(new MatchRequest(a.Path, b.Path) { Reader = reader }), wantsMoment, TestContext.Current.CancellationToken);

    private static ClipInfo Clip(string path, string? timecode = null) => MadeClip.Of(path, 64, 36, Seconds) with { Timecode = timecode };

    // The event as a recorder hears it that was switched on so many seconds after the event began.
    private static MonoSound Heard(double after) => new(MadeRecording.Record(s_event, Rate, after, Seconds, Rate), Rate, 0);

    private static (double Light, double Motion)[] Steps(Random random) =>
        [.. Enumerable.Range(0, 300).Select(_ => (0.3 + (0.4 * random.NextDouble()), 0.05 * random.NextDouble()))];

    // Lamps and hands: another light and another motion every fifth of a second, the same for who looks at the same moment.
    private static Func<double, (double Light, double Motion)> Seen(double later) => t => s_seen[(int)Math.Floor(((t - later) * 5) + 100.001)];
}
