using Tonematch.Sync;
using Tonematch.Sync.Sound;
using Xunit;

namespace Tonematch.Core.Tests.Sync.Sound;

public class ClearMomentTests
{
    [Fact]
    public void Find_ClapInBoth_IsPreferredToALouderNoiseInOne()
    {
        Random random = new(2);
        float[] Sound(double clap, double noiseAlone)
        {
            float[] s = new float[8000 * 6];
            for (int i = 0; i < s.Length; i++)
            {
                double t = i / 8000.0, clapAge = t - clap, noiseAge = t - noiseAlone, r = (2 * random.NextDouble()) - 1;
                s[i] = (float)(r * (0.01 + (clapAge >= 0 ? 0.5 * Math.Exp(-clapAge * 120) : 0) + (noiseAge >= 0 ? 0.9 * Math.Exp(-noiseAge * 120) : 0)));
            }

            return s;
        }

        // The secondary is 1.5 s behind: t_secondary = t_primary - 1.5.
        ClearMoment found = ClearMoment.Find(new MonoSound(Sound(3.0, 2.0), 8000, 0), new MonoSound(Sound(1.5, 3.4), 8000, 0), SyncFound.Given(-1.5))!;
        Assert.Equal(3.0, found.MomentSeconds, 0.006);
        Assert.Equal(found.Primary.StartSeconds, found.Secondary.StartSeconds, 0.001);
        Assert.Equal(0.3, found.Primary.DurationSeconds, 0.001);
    }

    [Fact]
    public void Find_NoOverlap_IsNull() =>
        Assert.Null(ClearMoment.Find(new MonoSound(new float[8000], 8000, 0), new MonoSound(new float[8000], 8000, 0), SyncFound.Given(-100)));
}
