using Tonematch.Sync;
using Tonematch.Testing.Sounds;
using Xunit;

namespace Tonematch.Core.Tests.Sync;

public class SoundSyncTests
{
    private const int Rate = 16000;

    // The acceptance figure with claps.
    private const double ClapSeconds = 0.001;

    [Theory]
    [InlineData(3.75)]
    [InlineData(-2.125)]
    public void Synchronise_ClapsWithNoise_FindsTheOffsetWithinAMillisecond(double offset)
    {
        float[] source = MadeSound.Mix(MadeSound.RandomClaps(Rate, 40, 4, 1), MadeSound.Rushing(Rate, 40, 2), 0.02);
        MonoSound primary = new(MadeRecording.WithNoise(MadeRecording.Record(source, Rate, 8, 20, Rate), 10, 3), Rate, 0);
        MonoSound secondary = new(MadeRecording.WithNoise(MadeRecording.Record(source, Rate, 8 - offset, 20, Rate), 10, 4), Rate, 0);
        SyncFound found = Assert.IsType<SyncFound>(SoundSync.Synchronise(primary, secondary, new SyncOptions(), TestContext.Current.CancellationToken));
        Assert.Equal(offset, found.OffsetSeconds, ClapSeconds);
        Assert.Equal(0, found.DriftPpm);
    }

    [Fact]
    public void Synchronise_UnrelatedSounds_IsRefusedWithAdvice()
    {
        MonoSound primary = new(MadeSound.Speech(Rate, 20, 1), Rate, 0), secondary = new(MadeSound.Speech(Rate, 20, 2), Rate, 0);
        SyncRefused refused = Assert.IsType<SyncRefused>(SoundSync.Synchronise(primary, secondary, new SyncOptions(), TestContext.Current.CancellationToken));
        Assert.Equal(SyncRefusal.Unrelated, refused.Why);
        Assert.NotEmpty(refused.Advice);
    }
}
