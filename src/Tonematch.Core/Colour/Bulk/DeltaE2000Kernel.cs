using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Tonematch.Colour.Bulk.Lanes;
using Tonematch.Colour.DeltaE;
using static Tonematch.Colour.Bulk.Lanes.LaneMath;

namespace Tonematch.Colour.Bulk;

/// <summary>
/// CIEDE2000 in bulk: planes of CIELAB floats, eight or sixteen pairs at a time, without one trigonometric function.
/// </summary>
/// <remarks>
/// The specification is <see cref="DeltaE2000"/>. Against it the result is off by less than 1e-3 for L* of -20 to 150 and a*,
/// b* of -200 to 200; measured figures in docs/performance.md. A pair's result does not depend on where in the span it
/// stands. Equation numbers are those of [Sharma2005].
/// </remarks>
public static class DeltaE2000Kernel
{
    private const MethodImplOptions Inline = MethodImplOptions.AggressiveInlining;

    // Pairs a block: what one pass hands to the next is 5 KB of the stack.
    private const int Block = 256;

    private const float Pow25To7 = 6103515625f;

    // Two hues count as exactly opposed within the margin of the specification, 1e-10 degrees, here in radians.
    private const float OpposedMargin = 1.7453e-12f;

    /// <summary>The differences of many pairs.</summary>
    /// <param name="l1">N values of L* of the first colours.</param>
    /// <param name="a1">N values of a*.</param>
    /// <param name="b1">N values of b*.</param>
    /// <param name="l2">N values of L* of the second colours.</param>
    /// <param name="a2">N values of a*.</param>
    /// <param name="b2">N values of b*.</param>
    /// <param name="deltaE">Receives N differences. May be one of the inputs itself, but not overlap it otherwise.</param>
    /// <remarks>NaN in any channel gives NaN. Allocates nothing.</remarks>
    /// <exception cref="ArgumentException">The lengths of the inputs differ, or the result is too short.</exception>
    public static void Between(
        ReadOnlySpan<float> l1,
        ReadOnlySpan<float> a1,
        ReadOnlySpan<float> b1,
        ReadOnlySpan<float> l2,
        ReadOnlySpan<float> a2,
        ReadOnlySpan<float> b2,
        Span<float> deltaE)
    {
        int n = l1.Length;
        if (a1.Length != n || b1.Length != n || l2.Length != n || a2.Length != n || b2.Length != n)
        {
            throw new ArgumentException("All six channels must have the same length.");
        }

        if (deltaE.Length < n)
        {
            throw new ArgumentException("The result is shorter than the input.", nameof(deltaE));
        }

        Planes planes = new(l1, a1, b1, l2, a2, b2, deltaE);
        if (Vector512.IsHardwareAccelerated)
        {
            Between<SixteenLanes>(planes, n);
        }
        else
        {
            Between<EightLanes>(planes, n);
        }
    }

    private static void Between<T>(Planes planes, int n)
        where T : struct, ILanes<T>
    {
        // Two passes over a block that stays in the first cache, not one: each has a shorter chain of dependent operations,
        // so that the processor works on more pairs at once, and is small enough for the compiler to inline all of it.
        Polar polar = new(stackalloc float[5 * Block], Block);
        int start = 0;
        for (; start + Block <= n; start += Block)
        {
            Planes block = planes.Slice(start, Block);
            ToPolar<T>(block, polar);
            Finish<T>(block, polar);
        }

        int rest = n - start;
        if (rest > 0)
        {
            // What is left goes the same way, padded with zeros to whole registers.
            Planes last = planes.Slice(start, rest);
            int length = (rest + T.Count - 1) / T.Count * T.Count;
            Span<float> copy = stackalloc float[6 * Block];
            copy.Clear();
            last.L1.CopyTo(copy);
            last.A1.CopyTo(copy[Block..]);
            last.B1.CopyTo(copy[(2 * Block)..]);
            last.L2.CopyTo(copy[(3 * Block)..]);
            last.A2.CopyTo(copy[(4 * Block)..]);
            last.B2.CopyTo(copy[(5 * Block)..]);
            Planes padded = new(
                copy[..length],
                copy.Slice(Block, length),
                copy.Slice(2 * Block, length),
                copy.Slice(3 * Block, length),
                copy.Slice(4 * Block, length),
                copy.Slice(5 * Block, length),
                copy[..length]);
            ToPolar<T>(padded, polar);
            Finish<T>(padded, polar);
            copy[..rest].CopyTo(last.DeltaE);
        }
    }

    /// <summary>eq. (2) to (14) without lightness: mean chroma, difference of chroma, of hue, direction of the mean hue.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void ToPolar<T>(Planes planes, Polar polar)
        where T : struct, ILanes<T>
    {
        ReadOnlySpan<T> a1s = MemoryMarshal.Cast<float, T>(planes.A1), b1s = MemoryMarshal.Cast<float, T>(planes.B1);
        ReadOnlySpan<T> a2s = MemoryMarshal.Cast<float, T>(planes.A2), b2s = MemoryMarshal.Cast<float, T>(planes.B2);
        Span<T> meanChroma = MemoryMarshal.Cast<float, T>(polar.MeanChroma);
        Span<T> deltaChroma = MemoryMarshal.Cast<float, T>(polar.DeltaChroma);
        Span<T> deltaHue = MemoryMarshal.Cast<float, T>(polar.DeltaHue);
        Span<T> hueCos = MemoryMarshal.Cast<float, T>(polar.HueCos), hueSin = MemoryMarshal.Cast<float, T>(polar.HueSin);
        T one = T.All(1f), half = T.All(0.5f), zero = T.All(0f), sign = T.All(-0f);
        for (int i = 0; i < a1s.Length; i++)
        {
            T a1 = a1s[i], b1 = b1s[i], a2 = a2s[i], b2 = b2s[i];

            // eq. (2) to (4): a' = scale a*.
            T b1Square = b1 * b1, b2Square = b2 * b2;
            T chroma1 = T.Sqrt(T.MultiplyAdd(a1, a1, b1Square)), chroma2 = T.Sqrt(T.MultiplyAdd(a2, a2, b2Square));
            T scale = Linear(SqrtOfPower7Share((chroma1 + chroma2) * half), -0.5f, 1.5f);

            // The sign of the turn from the first hue to the second decides which way round the mean hue lies, and must not
            // be lost to rounding where hues are opposed. Both a' have one scale, so the sign comes from the inputs; fused
            // multiply-adds give the difference of two products to the last bit (Kahan's way).
            T product = a2 * b1;
            T productError = T.Fused(a2, b1, -product);
            T cross = scale * (T.Fused(a1, b2, -product) - productError);

            a1 *= scale; // eq. (5)
            a2 *= scale;
            T c1 = T.Sqrt(T.MultiplyAdd(a1, a1, b1Square)), c2 = T.Sqrt(T.MultiplyAdd(a2, a2, b2Square)); // eq. (6)
            T c1c2 = c1 * c2, dot = T.MultiplyAdd(a1, a2, b1 * b2);

            // eq. (10) and (14), first case: exactly opposed hues count as turned from the one below 180 degrees to the
            // other.
            T firstIsBelow180 = (b1 > zero) | (T.Same(b1, zero) & (a1 > zero));
            T opposed = T.Abs(cross) <= c1c2 * T.All(OpposedMargin);
            T turn = T.Select(opposed, T.Without(sign, firstIsBelow180), cross & sign);

            // eq. (11), Delta H' = 2 sqrt(C1' C2') sin(dh / 2), without angles: hues within 90 degrees by the cross product,
            // else by the dot product, each where the other one cancels. One square root serves both.
            T near = dot >= zero;
            T beyond = c1c2 - dot;
            T root = T.Sqrt(T.Select(near, (c1c2 + dot) * half, beyond + beyond));
            deltaHue[i] = T.Select(near, cross / T.Max(root, T.All(1e-30f)), root | turn);

            // eq. (14): the mean hue as a direction, the sum of the unit vectors, here times C1' C2'; beyond 90 degrees
            // their difference, turned back by a quarter. A grey has no hue and takes the other's: weight 1, vector 0.
            T w1 = T.Select(T.Same(c1, zero), one, c1), w2 = T.Select(T.Same(c2, zero), one, c2);
            T x1 = a1 * w2, y1 = b1 * w2, x2 = a2 * w1, y2 = b2 * w1;
            T x = T.Select(near, x2 + x1, (y2 - y1) ^ turn), y = T.Select(near, y2 + y1, (x1 - x2) ^ turn);
            T inverse = one / T.Sqrt(T.Max(T.MultiplyAdd(x, x, y * y), T.All(1e-36f)));
            hueCos[i] = x * inverse;
            hueSin[i] = y * inverse;
            meanChroma[i] = (c1 + c2) * half; // eq. (13)
            deltaChroma[i] = c2 - c1; // eq. (9)
        }
    }

    /// <summary>eq. (12), (15) to (22).</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Finish<T>(Planes planes, Polar polar)
        where T : struct, ILanes<T>
    {
        ReadOnlySpan<T> l1s = MemoryMarshal.Cast<float, T>(planes.L1), l2s = MemoryMarshal.Cast<float, T>(planes.L2);
        Span<T> meanChroma = MemoryMarshal.Cast<float, T>(polar.MeanChroma);
        Span<T> deltaChroma = MemoryMarshal.Cast<float, T>(polar.DeltaChroma);
        Span<T> deltaHue = MemoryMarshal.Cast<float, T>(polar.DeltaHue);
        Span<T> hueCos = MemoryMarshal.Cast<float, T>(polar.HueCos), hueSin = MemoryMarshal.Cast<float, T>(polar.HueSin);
        Span<T> deltaE = MemoryMarshal.Cast<float, T>(planes.DeltaE);
        for (int i = 0; i < l1s.Length; i++)
        {
            T cos = hueCos[i], sin = hueSin[i], cMean = meanChroma[i];
            T sC = Linear(cMean, 0.045f, 1f); // eq. (19)
            T sH = MultiplyAdd(cMean * T.All(0.015f), HueWeight(cos, sin), 1f); // eq. (20)
            T rT = RotationSine(cos, sin) * SqrtOfPower7Share(cMean); // eq. (17), (21), without the factor -2
            T l1 = l1s[i], l2 = l2s[i];
            T fromMiddle = Linear(l1 + l2, 0.5f, -50f); // eq. (12)
            T l50 = fromMiddle * fromMiddle;
            T sL = Linear(l50 / T.Sqrt(l50 + T.All(20f)), 0.015f, 1f); // eq. (18)

            T l = (l2 - l1) / sL, c = deltaChroma[i] / sC, h = deltaHue[i] / sH;
            T sum = T.MultiplyAdd(l, l, T.MultiplyAdd(c, c, h * h));
            sum = T.MultiplyAdd(rT * c, h * T.All(-2f), sum); // eq. (22)

            // Rounding alone can bring it below 0; NaN stays NaN.
            deltaE[i] = T.Sqrt(T.Select(sum < T.All(0f), T.All(0f), sum));
        }
    }

    /// <summary>sqrt(c^7 / (c^7 + 25^7)), eq. (4) and (17).</summary>
    [MethodImpl(Inline)]
    private static T SqrtOfPower7Share<T>(T c)
        where T : struct, ILanes<T>
    {
        // Above a chroma of 20 000 the share is 1 in any case, and c^7 would leave the range of floats.
        c = T.Min(c, T.All(20000f));
        T c3 = c * c * c, c7 = c3 * c3 * c;
        return T.Sqrt(c7 / (c7 + T.All(Pow25To7)));
    }

    /// <summary>T of eq. (15) from the sine and cosine of the mean hue, by multiple-angle formulas.</summary>
    [MethodImpl(Inline)]
    private static T HueWeight<T>(T cos, T sin)
        where T : struct, ILanes<T>
    {
        T cos2 = MultiplyAdd(cos + cos, cos, -1f), sin2 = (sin + sin) * cos;
        T cos3 = T.MultiplyAdd(cos2, cos, -(sin2 * sin)), sin3 = T.MultiplyAdd(sin2, cos, cos2 * sin);
        T cos4 = MultiplyAdd(cos2 + cos2, cos2, -1f), sin4 = (sin2 + sin2) * cos2;

        // Each constant: the factor of eq. (15) times the cosine or sine of its angle (30, 6 and 63 degrees).
        T first = Plus(Linear(cos, -0.17f * 0.8660254f, 1f), sin, -0.17f * 0.5f);
        T third = Plus(cos3 * T.All(0.32f * 0.9945219f), sin3, -0.32f * 0.104528463f);
        T fourth = Plus(cos4 * T.All(-0.20f * 0.4539905f), sin4, -0.20f * 0.8910065f);
        return Plus(first, cos2, 0.24f) + (third + fourth);
    }

    /// <summary>sin(2 * 30 exp(-((h - 275) / 25)^2)) degrees: eq. (16) and the sine of (21).</summary>
    [MethodImpl(Inline)]
    private static T RotationSine<T>(T cos, T sin)
        where T : struct, ILanes<T>
    {
        // The direction turned by -275 degrees, and the tangent of half the remaining angle.
        const float cos275 = 0.08715574f, sin275 = -0.9961947f;
        T c = Plus(cos * T.All(cos275), sin, sin275), s = Plus(sin * T.All(cos275), cos, -sin275);
        T tangent = s / T.Max(c + T.All(1f), T.All(1e-3f));

        // w times this polynomial is the square of half the angle (error 2e-8 where it matters); the factor makes it the
        // exponent of 2.
        T w = T.Min(tangent * tangent, T.All(1.25f)), w2 = w * w, w4 = w2 * w2;
        T q01 = Linear(w, -0.6666482090950012f, 0.9999998211860657f);
        T q23 = Linear(w, -0.41345179080963135f, 0.5106191039085388f);
        T q45 = Linear(w, -0.21345679461956024f, 0.32565000653266907f);
        T q67 = Linear(w, -0.018346473574638367f, 0.09247072041034698f);
        T q = T.MultiplyAdd(T.MultiplyAdd(q67, w2, q45), w4, T.MultiplyAdd(q23, w2, q01));
        T e = Exp2(q * (w * T.All(-30.310966024708748f)));

        // Below 180 degrees the standard's angle is more than 95 away and does not go round: nothing there.
        e = T.Without(e, sin >= T.All(0f));

        // sin(60 degrees * e), error 2e-8.
        T e2 = e * e;
        T low = Linear(e2, -0.1913948655128479f, 1.0471974611282349f);
        T high = Linear(e2, -0.00026476613129489124f, 0.010487605817615986f);
        return T.MultiplyAdd(high, e2 * e2, low) * e;
    }

    private readonly ref struct Planes(
        ReadOnlySpan<float> l1,
        ReadOnlySpan<float> a1,
        ReadOnlySpan<float> b1,
        ReadOnlySpan<float> l2,
        ReadOnlySpan<float> a2,
        ReadOnlySpan<float> b2,
        Span<float> deltaE)
    {
        public ReadOnlySpan<float> L1 { get; } = l1;

        public ReadOnlySpan<float> A1 { get; } = a1;

        public ReadOnlySpan<float> B1 { get; } = b1;

        public ReadOnlySpan<float> L2 { get; } = l2;

        public ReadOnlySpan<float> A2 { get; } = a2;

        public ReadOnlySpan<float> B2 { get; } = b2;

        public Span<float> DeltaE { get; } = deltaE;

        public Planes Slice(int start, int length) => new(
            L1.Slice(start, length),
            A1.Slice(start, length),
            B1.Slice(start, length),
            L2.Slice(start, length),
            A2.Slice(start, length),
            B2.Slice(start, length),
            DeltaE.Slice(start, length));
    }

    /// <summary>What the first pass hands to the second.</summary>
    private readonly ref struct Polar(Span<float> memory, int length)
    {
        public Span<float> MeanChroma { get; } = memory[..length];

        public Span<float> DeltaChroma { get; } = memory.Slice(length, length);

        public Span<float> DeltaHue { get; } = memory.Slice(2 * length, length);

        public Span<float> HueCos { get; } = memory.Slice(3 * length, length);

        public Span<float> HueSin { get; } = memory.Slice(4 * length, length);
    }
}
