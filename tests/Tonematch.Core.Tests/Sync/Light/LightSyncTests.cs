using Tonematch.Sync;
using Tonematch.Sync.Light;
using Tonematch.Testing.Sounds;
using Xunit;

namespace Tonematch.Core.Tests.Sync.Light;

public class LightSyncTests
{
    [Theory]
    [InlineData(25, 30000 / 1001.0, 3.37)]
    [InlineData(50, 24000 / 1001.0, -8.2)]
    public void Synchronise_SameMotionSeenTwice_FindsTheOffsetWithinAFrame(double primaryRate, double secondaryRate, double offset)
    {
        LightSample[] primary = Seen(1, 20, 40, primaryRate, 1, 11), secondary = Seen(1, 20 - offset, 50, secondaryRate, 0.4, 12);
        SyncFound found = Assert.IsType<SyncFound>(LightSync.Synchronise(primary, secondary, cancel: TestContext.Current.CancellationToken));
        Assert.Equal(offset, found.OffsetSeconds, 1 / Math.Min(primaryRate, secondaryRate));
        Assert.Equal(SyncMethod.Light, found.Method);
    }

    [Fact]
    public void Synchronise_UnrelatedPictures_AreNeverSure()
    {
        for (int seed = 0; seed < 20; seed++)
        {
            SyncResult result = LightSync.Synchronise(Seen(100 + seed, 0, 30 + seed, 25, 1, seed), Seen(200 + seed, 0, 40, 25, 1, seed + 50), cancel: TestContext.Current.CancellationToken);
            Assert.IsType<SyncRefused>(result);
        }
    }

    [Fact]
    public void Synchronise_PictureOfAWall_IsRefused()
    {
        LightSample[] wall = [.. Enumerable.Range(0, 500).Select(k => new LightSample(k / 25.0, 40, 0))];
        SyncRefused refused = Assert.IsType<SyncRefused>(LightSync.Synchronise(wall, Seen(1, 0, 20, 25, 1, 2), cancel: TestContext.Current.CancellationToken));
        Assert.Equal(SyncRefusal.Silent, refused.Why);
    }

    [Fact]
    public void Synchronise_TimesThatDoNotRise_AreTheCallersMistake() => Assert.Throws<ArgumentException>(() =>
        LightSync.Synchronise([new(0, 1, 1), new(0, 1, 1)], [], cancel: TestContext.Current.CancellationToken));

    [Fact]
    public void Check_OffsetTwoFramesOff_IsSaidToDisagree()
    {
        LightSample[] primary = Seen(1, 20, 60, 25, 1, 11), secondary = Seen(1, 15, 60, 25, 0.4, 12);
        PictureAgreement right = PictureAgreement.Check(SyncFound.Given(5), primary, secondary, 0.04, TestContext.Current.CancellationToken);
        PictureAgreement wrong = PictureAgreement.Check(SyncFound.Given(5.1), primary, secondary, 0.04, TestContext.Current.CancellationToken);
        PictureAgreement unknown = PictureAgreement.Check(SyncFound.Given(5), primary, Seen(9, 0, 60, 25, 1, 3), 0.04, TestContext.Current.CancellationToken);
        Assert.Equal(PictureVerdict.Agrees, right.Verdict);
        Assert.Equal(PictureVerdict.Disagrees, wrong.Verdict);
        Assert.Contains("later than the sound", wrong.Sentence, StringComparison.Ordinal);
        Assert.Equal(PictureVerdict.Undecided, unknown.Verdict);
    }

    [Fact]
    public void Timecodes_OfOneClock_GiveTheirDifference()
    {
        Assert.True(Timecode.TryParse("10:00:05:00", 25, out Timecode? primary, out _));
        Assert.True(Timecode.TryParse("10:00:00:10", 25, out Timecode? secondary, out _));
        Assert.True(Timecode.TryParse("23:59:58:00", 25, out Timecode? beforeMidnight, out _));
        Assert.True(Timecode.TryParse("00:00:02:00", 25, out Timecode? afterMidnight, out _));
        Assert.True(Timecode.TryParse("00:00:00:00", 25, out Timecode? unset, out _));

        // 5 s less 10 frames: the primary starts later, so the secondary's clock reads more.
        Assert.Equal(4.6, Assert.IsType<SyncFound>(TimecodeSync.Synchronise(primary, 60, secondary, 60)).OffsetSeconds, 1e-9);
        Assert.Equal(-4, Assert.IsType<SyncFound>(TimecodeSync.Synchronise(beforeMidnight, 60, afterMidnight, 60)).OffsetSeconds, 1e-9);
        Assert.IsType<SyncRefused>(TimecodeSync.Synchronise(primary, 60, null, 60));
        Assert.IsType<SyncRefused>(TimecodeSync.Synchronise(primary, 60, beforeMidnight, 60));
        Assert.IsType<SyncRefused>(TimecodeSync.Synchronise(unset, 60, unset, 60));
    }

    // SMPTE ST 12-1: at 30000/1001 frames a second, counting that drops no numbers is 0.1 % slow; dropping ones keep time
    // to 86 ms a day.
    [Fact]
    public void Timecodes_OneOfWhichFallsBehind_AreRefusedWithAPlaceToBegin()
    {
        Assert.True(Timecode.TryParse("10:00:00:00", 25, out Timecode? primary, out _));
        Assert.True(Timecode.TryParse("10:00:02:12", 30000.0 / 1001, out Timecode? slow, out _));
        Assert.True(Timecode.TryParse("10:00:00:12", 30000.0 / 1001, out Timecode? alsoSlow, out _));
        Assert.True(Timecode.TryParse("10:00:02;12", 30000.0 / 1001, out Timecode? dropping, out _));
        Assert.Contains("3.6 s an hour since it was set. As they read, B begins 2.4 s after A", Assert.IsType<SyncRefused>(TimecodeSync.Synchronise(primary, 20, slow, 20)).Reason, StringComparison.Ordinal);
        Assert.Equal(-2.4, Assert.IsType<SyncFound>(TimecodeSync.Synchronise(primary, 20, dropping, 20)).OffsetSeconds, 0.04);
        Assert.Equal(2.002, Assert.IsType<SyncFound>(TimecodeSync.Synchronise(slow, 20, alsoSlow, 20)).OffsetSeconds, 1e-9);
    }

    // A scene with people who come and go and a light that is switched now and then, seen by a camera from its own place.
    private static LightSample[] Seen(int scene, double from, double seconds, double rate, double gain, int camera)
    {
        Random random = new(scene), own = new(camera);
        double[] motion = new double[12000], light = new double[12000];
        for (int burst = 0; burst < 150; burst++)
        {
            int start = random.Next(12000), length = random.Next(5, 120);
            double strength = random.NextDouble();
            for (int k = start; k < Math.Min(12000, start + length); k++)
            {
                motion[k] += strength * Math.Sin(Math.PI * (k - start) / length);
            }
        }

        for (int change = 0; change < 25; change++)
        {
            int start = random.Next(12000);
            double step = MadeSound.Gaussian(random);
            for (int k = start; k < 12000; k++)
            {
                light[k] += step;
            }
        }

        return [.. Enumerable.Range(0, (int)(seconds * rate)).Select(k =>
        {
            int at = Math.Clamp((int)((from + (k / rate)) * 100), 0, 11999);
            return new LightSample(k / rate, 40 + (5 * gain * light[at]) + (0.3 * MadeSound.Gaussian(own)), Math.Max(0, (gain * motion[at]) + (0.1 * MadeSound.Gaussian(own)) + 0.3));
        })];
    }
}
