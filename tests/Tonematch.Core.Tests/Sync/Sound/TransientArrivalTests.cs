using Tonematch.Sync.Sound;
using Tonematch.Sync.Sound.Arrival;
using Tonematch.Sync.Sound.Signals;
using Tonematch.Testing.Sounds;
using Xunit;

namespace Tonematch.Core.Tests.Sync.Sound;

public class TransientArrivalTests
{
    private const int Rate = 16000;

    // The secondary hears the claps 37 samples later than the line says, and 9 ms after them an echo three times as loud.
    [Fact]
    public void Find_ClapsWithALouderEcho_IsTheClapsOwnLag()
    {
        float[] response = new float[300];
        (response[37], response[37 + 144]) = (0.3f, 1);
        float[] claps = MadeSound.RandomClaps(Rate, 20, 3, 41);
        TransientArrival arrival = Find(claps, MadeRecording.Convolve(claps, response));
        Assert.True(arrival.IsClear);
        Assert.Equal(37.0 / Rate, arrival.LagSeconds, TransientArrival.PrecisionSeconds);
    }

    [Theory]
    [InlineData("water")]
    [InlineData("hum")]
    [InlineData("other claps")]
    [InlineData("one clap")]
    public void Find_NothingSuddenInBoth_SaysNothing(string kind)
    {
        float[] first = Sound(51), second = Sound(kind == "one clap" ? 51 : 52);
        Assert.False(Find(first, second).IsClear);

        float[] Sound(int seed) => kind switch
        {
            "water" => MadeSound.Rushing(Rate, 10, seed),
            "hum" => MadeSound.Hum(Rate, 10, seed),
            "one clap" => MadeSound.Claps(Rate, 10, [4.2], seed),
            _ => MadeSound.RandomClaps(Rate, 10, 2, seed),
        };
    }

    private static TransientArrival Find(float[] first, float[] second)
    {
        MonoSound a = new(MadeRecording.WithNoise(first, 30, 1), Rate, 0), b = new(MadeRecording.WithNoise(second, 30, 2), Rate, 0);
        CancellationToken cancel = TestContext.Current.CancellationToken;
        SoundPair pair = new(a, OnsetEnvelope.Of(a, 3600, cancel), b, OnsetEnvelope.Of(b, 3600, cancel), Rate);
        return TransientArrival.Find(pair, default, 0, a.DurationSeconds, cancel);
    }
}
