using System.Collections.Immutable;
using Tonematch.Shoot;
using Tonematch.Sync.Sound;
using Tonematch.Testing.Sounds;
using Xunit;

namespace Tonematch.Core.Tests.Shoot;

public class ShootListeningTests
{
    [Fact]
    public void Listen_ThreeCamerasOneOfWhichOnlyMeetsASecondary_PlacesAllClipsWithinAFrame()
    {
        MadeEvening made = MadeEvening.Of(
            150, [new("A", 1, 100), new("B", 10, 75), new("B", 75, 145), new("C", 105, 143)], 3);
        ShootTimes times = Placed(made);
        Assert.All(times.Clips, (c, i) => Assert.Equal(made.Starts[i], c.StartSeconds, 1 / 60.0));
        Assert.All(times.Clips, c => Assert.True(c.IsSure));
        Assert.Equal("B1", times.Clips[2].Continues);
    }

    [Fact]
    public void Listen_TwoEveningsThatNeverMet_PlacesNoneAgainstTheOther()
    {
        MadeEvening one = MadeEvening.Of(60, [new("A", 1, 55), new("B", 5, 58)], 3), other = MadeEvening.Of(60, [new("C", 1, 55)], 91);
        MadeEvening made = new([.. one.Clips, .. other.Clips], [.. one.Sounds, .. other.Sounds], [.. one.Starts, 0], [.. one.RatesPpm, 0]);
        ShootTimes times = Placed(made);
        Assert.True(times.Clips[1].IsSure);
        Assert.Equal(PlacementBasis.None, times.Clips[2].Basis);
    }

    [Fact]
    public void Listen_TwoGroupsWhoseMostLikelyMeetingsWereChance_HearsTheOthersNoMore()
    {
        MadeEvening made = MadeEvening.Of(60, [new("A", 1, 15)], 3), other = MadeEvening.Of(60, [new("B", 1, 15)], 91);
        LikelyMeeting[] chance = [.. Enumerable.Range(0, 40).Select(k => new LikelyMeeting(0, 1, (0.2 * k) - 4, 4, 10, 11 - (0.1 * k)))];
        int heard = 0;
        ImmutableArray<Meeting> meetings = ShootListening.Listen(
            [.. made.Clips, .. other.Clips], chance,
            i =>
            {
                heard++;
                return i == 0 ? made.Sounds[0] : other.Sounds[0];
            },
            cancel: TestContext.Current.CancellationToken);
        Assert.Empty(meetings);
        Assert.Equal(2 * 12, heard);
    }

    [Fact]
    public void Find_ClipsOfOneCamera_AreNeverComparedWithEachOther()
    {
        MadeEvening made = MadeEvening.Of(60, [new("A", 1, 40), new("A", 2, 41)], 3);
        Assert.Empty(LikelyMeetings.Find(made.Clips, [.. made.Sounds.Select(s => SoundOutline.Of(s, TestContext.Current.CancellationToken))], TestContext.Current.CancellationToken));
    }

    [Fact]
    public void Part_OfASound_KeepsItsTimeLine()
    {
        MonoSound sound = new(MadeSound.Speech(16000, 20, 1), 16000, 2.5), part = sound.Part(5, 9);
        Assert.Equal(5, part.StartSeconds, 6);
        Assert.Equal(4, part.DurationSeconds, 3);
        float[] whole = sound.ToArray()[(int)(2.5 * 16000)..];
        Assert.All(part.ToArray()[..100], (s, i) => Assert.Equal(whole[i], s, 1e-3f));
        Assert.Equal(0, sound.Part(100, 200).Length);
    }

    private static ShootTimes Placed(MadeEvening made)
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        IReadOnlyList<LikelyMeeting> likely = LikelyMeetings.Find(made.Clips, [.. made.Sounds.Select(s => SoundOutline.Of(s, cancel))], cancel);
        return ShootClock.Solve(made.Clips, ShootListening.Listen(made.Clips, likely, i => made.Sounds[i], cancel: cancel));
    }
}
