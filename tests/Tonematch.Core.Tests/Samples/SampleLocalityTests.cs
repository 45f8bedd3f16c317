using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

public class SampleLocalityTests
{
    private static readonly SignalEncoding s_encoding = SignalEncoding.Bt709;

    [Fact]
    public void Named_PartsOfThePicture_HavePlainNames()
    {
        ImmutableArray<SamplePair> named = Named([.. At(0.1, 0.2, 20), .. At(0.5, 0.9, 20), .. At(0.9, 0.9, 20)]);
        Assert.Equal(["the lower middle", "the lower right", "the upper left"], named.Select(p => p.Locality).Distinct().Order());
    }

    [Fact]
    public void Named_APartWithFewPairs_GoesToTheNearest()
    {
        ImmutableArray<SamplePair> named = Named([.. At(0.1, 0.2, 20), .. At(0.9, 0.9, 20), .. At(0.5, 0.9, 3)]);
        Assert.Equal(["the lower right", "the upper left"], named.Select(p => p.Locality).Distinct().Order());
    }

    [Fact]
    public void Named_TwoStatesOfTheLight_AreTwoLocalities()
    {
        ImmutableArray<SamplePair> named = Named([.. At(0.1, 0.2, 20), .. At(0.1, 0.2, 20, seconds: 8, gain: 0.7)]);
        Assert.Equal(["the upper left at 0.0 s", "the upper left at 8.0 s"], named.Select(p => p.Locality).Distinct().Order());
    }

    [Fact]
    public void Named_InstantsUnderOneLight_AreOneLocality()
    {
        ImmutableArray<SamplePair> named = Named([.. At(0.1, 0.2, 20), .. At(0.1, 0.2, 20, seconds: 8, gain: 0.98)]);
        Assert.Equal("the upper left", Assert.Single(named.Select(p => p.Locality).Distinct()));
    }

    [Fact]
    public void Named_WhatHasALocalityOrNoPlace_StaysAsItIs()
    {
        SamplePair chart = At(0.5, 0.5, 1)[0] with { Locality = SampleLocality.Chart }, given = new("x", "x", CodeRgb.Grey(0.5), CodeRgb.Grey(0.5));
        Assert.Equal([SampleLocality.Chart, ""], Named([chart, given]).Select(p => p.Locality));
    }

    private static ImmutableArray<SamplePair> Named(IReadOnlyList<SamplePair> pairs) => SampleLocality.Named(pairs, s_encoding, s_encoding);

    private static SamplePair[] At(double x, double y, int count, double seconds = 0, double gain = 1) =>
    [
        .. Enumerable.Range(0, count).Select(i => new SamplePair($"{x}-{y}-{i}@{seconds}", "g", CodeRgb.Grey(0.3 + (0.01 * i)), CodeRgb.Grey(gain * (0.3 + (0.01 * i))))
        {
            Origin = new SampleOrigin(seconds, seconds, new SamplePlace(x, y, 0.02, 0.02), new SamplePlace(x, y, 0.02, 0.02)),
        }),
    ];
}
