using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Tonematch.Colour.Bulk.Lanes;
using static Tonematch.Colour.Bulk.Lanes.LaneMath;

namespace Tonematch.Colour.Bulk;

/// <summary>Code values to CIELAB in bulk: planes of floats, eight or sixteen colours at a time.</summary>
/// <remarks>
/// The specification is <see cref="SignalEncoding.ToLab"/>. Against it the result is off by less than 1e-3 (distance in
/// CIELAB) for SDR codes from -0.5 to 1.5 and HDR codes from -0.07 to 1.09 (all that narrow-range video can carry); measured
/// figures in docs/performance.md. A colour's result does not depend on where in the span it stands.
/// </remarks>
public static class LabKernel
{
    private const MethodImplOptions Inline = MethodImplOptions.AggressiveInlining;

    // Colours a block: three planes of light are 3 KB of the stack.
    private const int Block = 256;

    /// <summary>Converts many colours.</summary>
    /// <param name="encoding">What the code values mean.</param>
    /// <param name="r">N red code values, nominally 0..1; finite or NaN; not clamped.</param>
    /// <param name="g">N green code values.</param>
    /// <param name="b">N blue code values.</param>
    /// <param name="lightness">Receives N values of L*. May be one of the inputs itself, but not overlap it otherwise.</param>
    /// <param name="a">Receives N values of a*; likewise.</param>
    /// <param name="bStar">Receives N values of b*; likewise.</param>
    /// <remarks>NaN in any channel gives NaN in all three results. Allocates nothing.</remarks>
    /// <exception cref="ArgumentException">The lengths of the inputs differ, or a result is too short.</exception>
    public static void ToLab(
        SignalEncoding encoding,
        ReadOnlySpan<float> r,
        ReadOnlySpan<float> g,
        ReadOnlySpan<float> b,
        Span<float> lightness,
        Span<float> a,
        Span<float> bStar)
    {
        ArgumentNullException.ThrowIfNull(encoding);
        int n = r.Length;
        if (g.Length != n || b.Length != n)
        {
            throw new ArgumentException("The three channels must have the same length.");
        }

        if (lightness.Length < n || a.Length < n || bStar.Length < n)
        {
            throw new ArgumentException("A result is shorter than the input.");
        }

        Planes planes = new(r, g, b, lightness, a, bStar);
        if (Vector512.IsHardwareAccelerated)
        {
            Convert<SixteenLanes>(planes, encoding);
        }
        else
        {
            Convert<EightLanes>(planes, encoding);
        }
    }

    private static void Convert<T>(Planes planes, SignalEncoding encoding)
        where T : struct, ILanes<T>
    {
        // RGB to XYZ relative to white, in one matrix: its rows sum to 1.
        Xyz w = encoding.White;
        Matrix<T> matrix = new(Matrix3.Diagonal(1 / w.X, 1 / w.Y, 1 / w.Z) * encoding.RgbToXyz);

        // Two passes over a block that stays in the first cache, not one: each has a shorter chain of dependent operations,
        // so that the processor works on more colours at once, and is small enough for the compiler to inline all of it.
        Span<float> light = stackalloc float[3 * Block];
        Span<float> lightR = light[..Block], lightG = light[Block..(2 * Block)], lightB = light[(2 * Block)..];
        int n = planes.R.Length, start = 0;
        for (; start + Block <= n; start += Block)
        {
            Planes block = planes.Slice(start, Block);
            ToLight<T>(encoding, block.R, lightR);
            ToLight<T>(encoding, block.G, lightG);
            ToLight<T>(encoding, block.B, lightB);
            Finish(encoding, lightR, lightG, lightB, block.L, block.A, block.BStar, matrix);
        }

        int rest = n - start;
        if (rest > 0)
        {
            // What is left goes the same way, padded with black to whole registers.
            Planes last = planes.Slice(start, rest);
            int padded = (rest + T.Count - 1) / T.Count * T.Count;
            light.Clear();
            last.R.CopyTo(lightR);
            last.G.CopyTo(lightG);
            last.B.CopyTo(lightB);
            ToLight<T>(encoding, lightR[..padded], lightR);
            ToLight<T>(encoding, lightG[..padded], lightG);
            ToLight<T>(encoding, lightB[..padded], lightB);
            lightR = lightR[..padded];
            lightG = lightG[..padded];
            lightB = lightB[..padded];
            Finish(encoding, lightR, lightG, lightB, lightR, lightG, lightB, matrix);
            lightR[..rest].CopyTo(last.L);
            lightG[..rest].CopyTo(last.A);
            lightB[..rest].CopyTo(last.BStar);
        }
    }

    private static void ToLight<T>(SignalEncoding encoding, ReadOnlySpan<float> code, Span<float> light)
        where T : struct, ILanes<T>
    {
        if (encoding == SignalEncoding.Hlg)
        {
            Apply<HlgCurve, T>(code, light);
        }
        else if (encoding == SignalEncoding.Pq)
        {
            Apply<PqCurve, T>(code, light);
        }
        else if (encoding == SignalEncoding.Srgb || encoding == SignalEncoding.DisplayP3)
        {
            Apply<SrgbCurve, T>(code, light);
        }
        else
        {
            Apply<VideoCurve, T>(code, light);
        }
    }

    private static void Finish<T>(
        SignalEncoding encoding,
        Span<float> r,
        Span<float> g,
        Span<float> b,
        Span<float> l,
        Span<float> a,
        Span<float> bStar,
        in Matrix<T> matrix)
        where T : struct, ILanes<T>
    {
        if (encoding == SignalEncoding.Hlg)
        {
            SystemGamma<T>(r, g, b);
        }

        LightToLab(r, g, b, l, a, bStar, matrix);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Apply<TCurve, T>(ReadOnlySpan<float> code, Span<float> light)
        where TCurve : ICurve
        where T : struct, ILanes<T>
    {
        ReadOnlySpan<T> codes = MemoryMarshal.Cast<float, T>(code);
        Span<T> lights = MemoryMarshal.Cast<float, T>(light);
        for (int i = 0; i < codes.Length; i++)
        {
            T c = codes[i];
            lights[i] = WithSignOf(TCurve.ToLight(T.Abs(c)), c);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void LightToLab<T>(
        ReadOnlySpan<float> r,
        ReadOnlySpan<float> g,
        ReadOnlySpan<float> b,
        Span<float> l,
        Span<float> a,
        Span<float> bStar,
        in Matrix<T> m)
        where T : struct, ILanes<T>
    {
        ReadOnlySpan<T> rs = MemoryMarshal.Cast<float, T>(r), gs = MemoryMarshal.Cast<float, T>(g), bs = MemoryMarshal.Cast<float, T>(b);
        Span<T> ls = MemoryMarshal.Cast<float, T>(l), aStars = MemoryMarshal.Cast<float, T>(a), bStars = MemoryMarshal.Cast<float, T>(bStar);
        for (int i = 0; i < rs.Length; i++)
        {
            T red = rs[i], green = gs[i], blue = bs[i];
            T fx = F(Sum(m.M11, red, m.M12, green, m.M13, blue));
            T fy = F(Sum(m.M21, red, m.M22, green, m.M23, blue));
            T fz = F(Sum(m.M31, red, m.M32, green, m.M33, blue));
            ls[i] = Linear(fy, 116f, -16f);
            aStars[i] = (fx - fy) * T.All(500f);
            bStars[i] = (fy - fz) * T.All(200f);
        }
    }

    /// <summary>The system gamma of HLG: a gain of Y^0.2 for all three, and Y^0.2 = Y (Y^(-1/5))^4.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void SystemGamma<T>(Span<float> r, Span<float> g, Span<float> b)
        where T : struct, ILanes<T>
    {
        const float peak = (float)(TransferFunctions.HlgPeak / TransferFunctions.HdrReferenceWhite);
        Span<T> rs = MemoryMarshal.Cast<float, T>(r), gs = MemoryMarshal.Cast<float, T>(g), bs = MemoryMarshal.Cast<float, T>(b);
        for (int i = 0; i < rs.Length; i++)
        {
            T y = T.Abs(Sum(T.All(0.2627f), rs[i], T.All(0.6780f), gs[i], T.All(0.0593f), bs[i]));
            T root = InverseFifthRoot(y);
            root *= root;
            T gain = y * root * root * T.All(peak);
            rs[i] *= gain;
            gs[i] *= gain;
            bs[i] *= gain;
        }
    }

    /// <summary>The cube root above (6/29)^3, a straight line below ([ISO/CIE 11664-4]).</summary>
    [MethodImpl(Inline)]
    private static T F<T>(T t)
        where T : struct, ILanes<T> => T.Select(t > T.All(216f / 24389), CubeRoot(t), Linear(t, 841f / 108, 4f / 29));

    [MethodImpl(Inline)]
    private static T Sum<T>(T m1, T x1, T m2, T x2, T m3, T x3)
        where T : struct, ILanes<T> => T.MultiplyAdd(m1, x1, T.MultiplyAdd(m2, x2, m3 * x3));

    /// <summary>A display curve from 0 up; a static abstract member, so that the loop is compiled once for each.</summary>
    private interface ICurve
    {
        static abstract T ToLight<T>(T code)
            where T : struct, ILanes<T>;
    }

    private readonly struct VideoCurve : ICurve
    {
        [MethodImpl(Inline)]
        public static T ToLight<T>(T code)
            where T : struct, ILanes<T> => Power24(code);
    }

    private readonly struct SrgbCurve : ICurve
    {
        [MethodImpl(Inline)]
        public static T ToLight<T>(T code)
            where T : struct, ILanes<T> => T.Select(
                code > T.All(0.04045f), Power24(Linear(code, 1 / 1.055f, 0.055f / 1.055f)), code * T.All(1 / 12.92f));
    }

    /// <summary>To scene light; the gain of the display follows for all three channels together.</summary>
    private readonly struct HlgCurve : ICurve
    {
        private const double Ln2 = 0.69314718055994531;

        // exp((c - C) / A) as a power of two; C as [BT.2100] prints it is enough for floats.
        private const float Scale = (float)(1 / (TransferFunctions.HlgA * Ln2));
        private const float Offset = (float)(-0.55991073 / (TransferFunctions.HlgA * Ln2));

        [MethodImpl(Inline)]
        public static T ToLight<T>(T code)
            where T : struct, ILanes<T>
        {
            T exponent = T.Min(Linear(code, Scale, Offset), T.All(126f));
            T above = Linear(Exp2(exponent), 1f / 12, (float)(TransferFunctions.HlgB / 12));
            return T.Select(code > T.All(0.5f), above, code * code * T.All(1f / 3));
        }
    }

    /// <remarks>
    /// Written by q = 1 - c^(1/m2), which is small: with c1 = 1 - (c2 - c3) the fraction is (1 - c1 - q) / (1 - c1 + c3 q), or
    /// 1 - (1 + c3) q / (1 - c1 + c3 q), and nothing cancels near code 1, where floats would lose four digits.
    /// </remarks>
    private readonly struct PqCurve : ICurve
    {
        private const float Rest = (float)(1 - TransferFunctions.PqC1);
        private const float ToReference = (float)(10000 / TransferFunctions.HdrReferenceWhite);

        // From the logarithm to base 2 to the natural one of the root.
        private const float RootExponent = (float)(0.69314718055994531 / TransferFunctions.PqM2);

        [MethodImpl(Inline)]
        public static T ToLight<T>(T code)
            where T : struct, ILanes<T>
        {
            T q = -ExpMinusOneSmall(T.Max(Log2(code) * T.All(RootExponent), T.All(-0.2f)));
            T share = T.All(1f) / Linear(q, (float)TransferFunctions.PqC3, Rest);
            T fraction = T.Max(T.All(Rest) - q, T.All(0f)) * share;
            T below = q * T.All(-1 - (float)TransferFunctions.PqC3) * share;
            T within = Exp2(Log2(fraction, below) * T.All((float)(1 / TransferFunctions.PqM1)));
            T above = Linear(code - T.All(1f), (float)TransferFunctions.PqSlopeAtOne, 1f);
            return T.Select(code <= T.All(1f), within, above) * T.All(ToReference);
        }
    }

    private readonly ref struct Planes(
        ReadOnlySpan<float> r, ReadOnlySpan<float> g, ReadOnlySpan<float> b, Span<float> l, Span<float> a, Span<float> bStar)
    {
        public ReadOnlySpan<float> R { get; } = r;

        public ReadOnlySpan<float> G { get; } = g;

        public ReadOnlySpan<float> B { get; } = b;

        public Span<float> L { get; } = l;

        public Span<float> A { get; } = a;

        public Span<float> BStar { get; } = bStar;

        public Planes Slice(int start, int length) => new(
            R.Slice(start, length),
            G.Slice(start, length),
            B.Slice(start, length),
            L.Slice(start, length),
            A.Slice(start, length),
            BStar.Slice(start, length));
    }

    private readonly struct Matrix<T>(Matrix3 m)
        where T : struct, ILanes<T>
    {
        public readonly T M11 = T.All((float)m.M11), M12 = T.All((float)m.M12), M13 = T.All((float)m.M13);
        public readonly T M21 = T.All((float)m.M21), M22 = T.All((float)m.M22), M23 = T.All((float)m.M23);
        public readonly T M31 = T.All((float)m.M31), M32 = T.All((float)m.M32), M33 = T.All((float)m.M33);
    }
}
