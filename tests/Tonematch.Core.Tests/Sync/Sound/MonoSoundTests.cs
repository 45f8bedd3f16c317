using CsCheck;
using Tonematch.Sync.Sound;
using Xunit;

namespace Tonematch.Core.Tests.Sync.Sound;

public class MonoSoundTests
{
    // Half a step of 16 bits of the loudest sample of the 1024, and the rounding of single precision.
    private const float Kept = (0.5f / 32767) + 1e-6f;

    [Fact]
    public void Read_AnyStretch_GivesTheSamplesAndSilenceOutside() =>
        Gen.Select(Gen.Int[0, 5000], Gen.Int[-3000, 6000], Gen.Int[0, 3000], Gen.Int[0, 1000]).Sample((length, first, count, seed) =>
        {
            float[] samples = Noise(length, seed), read = new float[count];
            Array.Fill(read, 9);
            new MonoSound(samples, 8000, 0).Read(first, read);
            for (int k = 0; k < count; k++)
            {
                int at = first + k;
                Assert.Equal(at >= 0 && at < length ? samples[at] : 0, read[k], 2 * Kept);
            }
        });

    [Fact]
    public void Read_QuietStretchBesideALoudOne_IsAsGood()
    {
        float[] samples = Noise(4096, 1);
        for (int k = 2048; k < 3072; k++)
        {
            samples[k] *= 1e-4f;
        }

        float[] read = new MonoSound(samples, 8000, 0).ToArray();
        for (int k = 2048; k < 3072; k++)
        {
            Assert.Equal(samples[k], read[k], 2e-4f * Kept);
        }
    }

    [Fact]
    public void Constructor_WhatIsNoNumber_CountsAsSilence() =>
        Assert.Equal([0, 0, 1.5f, 0, -1.5f], new MonoSound([float.NaN, float.PositiveInfinity, 1.5f, float.NegativeInfinity, -1.5f], 8000, 0).ToArray());

    [Fact]
    public async Task Gather_PiecesOfAMillionAndAHalf_GivesTheSameAsAtOnce()
    {
        float[] samples = Noise((3 << 19) + 77, 2);
        MonoSound gathered = await MonoSound.GatherAsync(Pieces(), 8000, 1.5);
        Assert.Equal(1.5, gathered.StartSeconds);
        Assert.Equal(new MonoSound(samples, 8000, 1.5).ToArray(), gathered.ToArray());

        async IAsyncEnumerable<ReadOnlyMemory<float>> Pieces()
        {
            float[] piece = new float[65536];
            for (int at = 0; at < samples.Length; at += piece.Length)
            {
                await Task.Yield();
                int count = Math.Min(piece.Length, samples.Length - at);
                samples.AsSpan(at, count).CopyTo(piece);
                yield return piece.AsMemory(0, count);
            }
        }
    }

    private static float[] Noise(int length, int seed)
    {
        // Up to twice full scale.
        Random random = new(seed);
        return [.. Enumerable.Range(0, length).Select(_ => (4 * random.NextSingle()) - 2)];
    }
}
