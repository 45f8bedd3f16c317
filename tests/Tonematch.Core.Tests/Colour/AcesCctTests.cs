using System.Globalization;
using System.Runtime.InteropServices;
using Tonematch.Colour;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Colour;

/// <summary>ACEScct against the Academy's specification S-2016-001 and against OpenColorIO's own transforms of it.</summary>
public class AcesCctTests
{
    // [S-2016-001]: 0 is the straight part's offset, the break's code is printed as 0.155251141552511; 0.18 and 1 are by its
    // equation 4, as colour-science's tests have them too.
    [Theory]
    [InlineData(0, 0.0729055341958355)]
    [InlineData(0.0078125, 0.155251141552511)]
    [InlineData(0.18, 0.413588402492442)]
    [InlineData(1, 0.554794520547945)]
    public void AcesCctFromLinear_PublishedValue_AgreesToAllDigits(double light, double code)
    {
        Assert.Equal(code, TransferFunctions.AcesCctFromLinear(light), 1e-14);
        Assert.Equal(light, TransferFunctions.AcesCctToLinear(code), 1e-14);
    }

    // The largest half-float, 65504, which the specification's decoding ends at.
    [Fact]
    public void AcesCctToLinear_AtTheLargestPublishedCode_IsTheLargestHalfFloat() =>
        Assert.Equal(65504, TransferFunctions.AcesCctToLinear((Math.Log2(65504) + 9.72) / 17.52), 1e-6);

    // Source: PyOpenColorIO's built-in transforms: ACEScct to ACES2065-1, and that to XYZ under D65 by Bradford. It computes in float.
    [Fact]
    public void ToXyz_OfManyCodes_IsThatOfOpenColorIO()
    {
        CodeRgb[] codes = LutOracles.Colours(17);
        ExternalTool python = ExternalTool.Python("numpy", "PyOpenColorIO");
        const string script = """
            import sys, numpy, PyOpenColorIO as ocio
            pixels = numpy.frombuffer(sys.stdin.buffer.read(), dtype=numpy.float32).reshape(-1, 3).copy()
            steps = ocio.GroupTransform([ocio.BuiltinTransform(style=s) for s in ('ACEScct_to_ACES2065-1', 'UTILITY - ACES-AP0_to_CIE-XYZ-D65_BFD')])
            ocio.Config.CreateRaw().getProcessor(steps).getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).applyRGB(pixels)
            sys.stdout.buffer.write(pixels.tobytes())
            """;
        float[] input = [.. codes.SelectMany(c => new[] { (float)c.R, (float)c.G, (float)c.B })];
        float[] theirs = MemoryMarshal.Cast<byte, float>(python.Run(["-c", script], MemoryMarshal.AsBytes(input.AsSpan()).ToArray())).ToArray();
        for (int i = 0; i < codes.Length; i++)
        {
            Xyz ours = SignalEncoding.AcesCct.ToXyz(codes[i]);
            foreach ((double mine, double his) in new[] { (ours.X, (double)theirs[3 * i]), (ours.Y, theirs[(3 * i) + 1]), (ours.Z, theirs[(3 * i) + 2]) })
            {
                // Channels of 222 times white cancel: what is left of float's seven digits.
                double limit = 1e-5 * (0.01 + Math.Max(codes[i].R, Math.Max(codes[i].G, codes[i].B)) switch { var top => TransferFunctions.AcesCctToLinear(top) });
                Assert.True(Math.Abs(mine - his) < limit, string.Create(CultureInfo.InvariantCulture, $"{codes[i]}: {mine} here, {his} there"));
            }
        }
    }

    [Fact]
    public void ToLab_OfTheWhiteOfAScene_IsWhiteAndOfGreyIsGrey()
    {
        Lab white = SignalEncoding.AcesCct.ToLab(CodeRgb.Grey(TransferFunctions.AcesCctFromLinear(1)));
        Assert.Equal(100, white.L, 1e-9);
        Assert.Equal(0, white.Chroma, 1e-9);

        // ISO/CIE 11664-4: L* of a luminance of 18 % is 49.496.
        Assert.Equal(49.496, SignalEncoding.AcesCct.ToLab(CodeRgb.Grey(0.413588402492442)).L, 5e-4);
    }

    [Fact]
    public void IsLog_IsTrueOfAcesCctAlone() =>
        Assert.Equal(["acescct"], SignalEncoding.All.Where(e => e.IsLog).Select(e => e.Name));
}
