using CsCheck;
using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.States;
using Xunit;

namespace Tonematch.Core.Tests.States;

public class LightEdgeTests
{
    private const int FramesASecond = 25;

    [Fact]
    public void Find_LampThatComesOnWhileTheCameraPans_IsItsFrame() => Gen.Select(Gen.Int[30, 220], Gen.Int[0, 10_000]).Sample(
        (at, seed) =>
        {
            // 0.3 stop and some warmth from one frame to the next; panning changes the picture by a stop over the ten seconds.
            LightInstant[] pictures = Pictures(250, seed, k => k >= at ? (0.3, 0.2, -0.25) : (0, 0, 0), pan: 1);
            Assert.Equal((at - 0.5) / FramesASecond, LightEdge.Find(pictures)!.Value.Seconds, 1.01 / FramesASecond);
        },
        iter: 50);

    [Fact]
    public void Find_FlashThatLastsThreeFrames_IsNoChange() =>
        Assert.Null(LightEdge.Find(Pictures(250, 3, k => k is >= 100 and < 103 ? (2, 0, 0) : (0, 0, 0), pan: 0.3)));

    [Fact]
    public void Find_CameraThatOnlyPans_HasNoChange() => Gen.Int[0, 10_000].Sample(
        seed => Assert.Null(LightEdge.Find(Pictures(250, seed, _ => (0, 0, 0), pan: 2))), iter: 50);

    [Fact]
    public void Find_TooFewPictures_IsNull() => Assert.Null(LightEdge.Find(Pictures(5, 1, k => k > 2 ? (1, 0, 0) : (0, 0, 0), pan: 0)));

    [Fact]
    public void Of_PictureTwiceAsLight_IsOneStopMore()
    {
        // BT.709's camera curve at 0.09 and 0.18 of white.
        LightInstant dark = LightEdge.Of(Plain(0.09), 3), light = LightEdge.Of(Plain(0.18), 4);
        Assert.Equal((3, 4), (dark.Seconds, light.Seconds));
        Assert.Equal(1, light.ExposureStops - dark.ExposureStops, 1e-5);
        Assert.Equal(0, light.RedGreenStops, 1e-5);
    }

    private static Picture Plain(double light)
    {
        float[] plane = [.. Enumerable.Repeat((float)SignalEncoding.Bt709.FromScene(light), 6)];
        return new Picture(3, 2, plane, plane, plane, SignalEncoding.Bt709);
    }

    private static LightInstant[] Pictures(int count, int seed, Func<int, (double Stops, double Red, double Blue)> light, double pan)
    {
        Random random = new(seed);
        double phase = 2 * Math.PI * random.NextDouble();
        return [.. Enumerable.Range(0, count).Select(k =>
        {
            (double stops, double red, double blue) = light(k);
            double view = pan * Math.Sin((Math.PI * k / count) + phase), noise = 0.005 * (random.NextDouble() - 0.5);
            return new LightInstant((double)k / FramesASecond, stops + view + noise, red + (0.2 * view), blue - (0.3 * view));
        })];
    }
}
