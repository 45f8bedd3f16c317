using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Samples;

namespace Tonematch.Testing;

/// <summary>Made-up colours and pairs for tests of the fit; the same ones every time.</summary>
public static class MadeColours
{
    /// <summary>Code values spread over the middle of the range, greys among them (every fourth).</summary>
    public static CodeRgb[] Spread(int count, int seed = 1)
    {
        Random random = new(seed);
        CodeRgb[] colours = new CodeRgb[count];
        for (int i = 0; i < count; i++)
        {
            double r = 0.12 + (0.7 * random.NextDouble());
            double g = 0.12 + (0.7 * random.NextDouble());
            double b = 0.12 + (0.7 * random.NextDouble());
            colours[i] = i % 4 == 0 ? CodeRgb.Grey(0.12 + (0.7 * i / count)) : new CodeRgb(r, g, b);
        }

        return colours;
    }

    /// <summary>Pairs whose primary is exactly what a correction makes of the secondary.</summary>
    public static SampleSet PairsOf(Correction correction, IReadOnlyList<CodeRgb> secondary, Func<int, CodeRgb, CodeRgb>? disturb = null) =>
        new(correction.PrimaryEncoding, correction.SecondaryEncoding, SamplingMethod.Given,
        [
            .. secondary.Select((s, i) =>
            {
                CodeRgb p = correction.Apply(s);
                return new SamplePair($"p{i:D4}", $"g{i:D4}", disturb is null ? p : disturb(i, p), s);
            }),
        ]);

    /// <summary>The set with other pairs.</summary>
    public static SampleSet With(this SampleSet set, IEnumerable<SamplePair> pairs) => set with { Pairs = pairs.ToImmutableArray() };
}
