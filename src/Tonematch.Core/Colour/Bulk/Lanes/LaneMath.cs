using System.Runtime.CompilerServices;

namespace Tonematch.Colour.Bulk.Lanes;

/// <summary>
/// Roots, exponential and logarithm of many floats at once, each to a few units in the last place. The polynomials are
/// minimax fits; the stated errors are theirs, before float rounding (6e-8). They are summed in pairs (Estrin), not one
/// after the other: a loop's speed is bound by its longest chain of dependent operations.
/// </summary>
internal static class LaneMath
{
    private const MethodImplOptions Inline = MethodImplOptions.AggressiveInlining;

    /// <summary>x y + c.</summary>
    [MethodImpl(Inline)]
    public static T MultiplyAdd<T>(T x, T y, float c)
        where T : struct, ILanes<T> => T.MultiplyAdd(x, y, T.All(c));

    /// <summary>x + y c.</summary>
    [MethodImpl(Inline)]
    public static T Plus<T>(T x, T y, float c)
        where T : struct, ILanes<T> => T.MultiplyAdd(y, T.All(c), x);

    /// <summary>x c + d.</summary>
    [MethodImpl(Inline)]
    public static T Linear<T>(T x, float c, float d)
        where T : struct, ILanes<T> => T.MultiplyAdd(x, T.All(c), T.All(d));

    /// <summary>x with the sign of <paramref name="sign"/>; x is 0 or more.</summary>
    [MethodImpl(Inline)]
    public static T WithSignOf<T>(T x, T sign)
        where T : struct, ILanes<T> => x | (sign & T.All(-0f));

    /// <summary>x^(-1/5) for x of 0 or more, relative error 2.3e-8; finite (about 3e7) for 0.</summary>
    /// <remarks>
    /// One Householder step on the guess, a polynomial in the remainder 1 - x y^5, takes it to full precision. No division,
    /// no square root: those would be the slowest instructions of the loop.
    /// </remarks>
    [MethodImpl(Inline)]
    public static T InverseFifthRoot<T>(T x)
        where T : struct, ILanes<T>
    {
        T y = T.RootGuess(x, -1f / 5, 1277905900f);
        T y2 = y * y;
        T r = MultiplyAdd(-(x * y), y2 * y2, 1f);
        T r2 = r * r;
        T low = Linear(r, 0.11998296529054642f, 0.2000000923871994f);
        T high = Plus(Linear(r, 0.07228270918130875f, 0.08797348290681839f), r2, 0.06117171794176102f);
        return T.MultiplyAdd(T.MultiplyAdd(high, r2, low), r * y, y);
    }

    /// <summary>The cube root of x of 0 or more, relative error 2e-8.</summary>
    /// <remarks>
    /// From the guess y of x^(-1/3): the root is x y^2 (1 - r)^(-2/3) with the remainder r = 1 - x y^3, whose last product is
    /// fused, so that the rounding of x y^2 is seen in r and mostly undone.
    /// </remarks>
    [MethodImpl(Inline)]
    public static T CubeRoot<T>(T x)
        where T : struct, ILanes<T>
    {
        T y = T.RootGuess(x, -1f / 3, 1419900500f);
        T root = x * (y * y);
        T r = MultiplyAdd(-root, y, 1f);
        T r2 = r * r;
        T low = Linear(r, 0.5555365085601807f, 0.6666666865348816f);
        T high = Plus(Linear(r, 0.4585397243499756f, 0.49380093812942505f), r2, 0.42873212695121765f);
        return T.MultiplyAdd(T.MultiplyAdd(high, r2, low), r * root, root);
    }

    /// <summary>x^2.4 for x of 0 or more, relative error 2e-7.</summary>
    /// <remarks>From the guess y of x^(-1/5): the power is (x y)^3 (1 - r)^(-3/5) with r = 1 - x y^5.</remarks>
    [MethodImpl(Inline)]
    public static T Power24<T>(T x)
        where T : struct, ILanes<T>
    {
        T y = T.RootGuess(x, -1f / 5, 1277905900f);
        T y2 = y * y, xy = x * y, power = xy * xy * xy;
        T r = MultiplyAdd(-xy, y2 * y2, 1f);
        T r2 = r * r;
        T low = Linear(r, 0.4799174666404724f, 0.6000002026557922f);
        T high = Plus(Linear(r, 0.3854176998138428f, 0.41587966680526733f), r2, 0.35631701350212097f);
        return T.MultiplyAdd(T.MultiplyAdd(high, r2, low), r * power, power);
    }

    /// <summary>2^x for x of -126 or more (below, as for -126) up to 127; relative error 8e-8.</summary>
    [MethodImpl(Inline)]
    public static T Exp2<T>(T x)
        where T : struct, ILanes<T>
    {
        x = T.Max(x, T.All(-126f));
        T whole = T.Round(x);
        T f = x - whole, f2 = f * f;
        T low = Linear(f, 0.6931469440460205f, 1.0000001192092896f);
        T middle = Linear(f, 0.05550713092088699f, 0.24022120237350464f);
        T high = Linear(f, 0.0013276472454890609f, 0.009675541892647743f);
        return T.TimesPowerOfTwo(T.MultiplyAdd(T.MultiplyAdd(high, f2, middle), f2, low), whole);
    }

    /// <summary>
    /// The logarithm to base 2 of normal x above 0; relative error 3e-8 also near 1, where the result is small. 0 gives
    /// about -127.
    /// </summary>
    [MethodImpl(Inline)]
    public static T Log2<T>(T x)
        where T : struct, ILanes<T>
    {
        // The mantissa lies about 1, so that no sum cancels there.
        (T exponent, T mantissa) = T.Split(x);
        return T.MultiplyAdd(Log2Slope(mantissa - T.All(1f)), mantissa - T.All(1f), exponent);
    }

    /// <summary>As <see cref="Log2{T}(T)"/>, from x and from x - 1, where that is known better than x is.</summary>
    [MethodImpl(Inline)]
    public static T Log2<T>(T x, T xMinusOne)
        where T : struct, ILanes<T>
    {
        (T exponent, T mantissa) = T.Split(x);
        T f = T.Select(T.Same(exponent, T.All(0f)), xMinusOne, mantissa - T.All(1f));
        return T.MultiplyAdd(Log2Slope(f), f, exponent);
    }

    /// <summary>e^x - 1 for x of -0.2 to 0, relative error 1e-7 also near 0.</summary>
    [MethodImpl(Inline)]
    public static T ExpMinusOneSmall<T>(T x)
        where T : struct, ILanes<T>
    {
        T x2 = x * x;
        T low = Linear(x, 0.4999997913837433f, 1f);
        T high = Plus(Linear(x, 0.041551414877176285f, 0.1666584461927414f), x2, 0.007667848840355873f);
        return T.MultiplyAdd(high, x2, low) * x;
    }

    /// <summary>log2(1 + f) / f for f of sqrt(1/2) - 1 to sqrt(2) - 1.</summary>
    [MethodImpl(Inline)]
    private static T Log2Slope<T>(T f)
        where T : struct, ILanes<T>
    {
        T f2 = f * f, f4 = f2 * f2;
        T p01 = Linear(f, -0.7213473320007324f, 1.4426950216293335f);
        T p23 = Linear(f, -0.3607036769390106f, 0.48091062903404236f);
        T p45 = Linear(f, -0.23894479870796204f, 0.28791624307632446f);
        T p67 = Linear(f, -0.20726989209651947f, 0.21571564674377441f);
        T low = T.MultiplyAdd(p23, f2, p01);
        T high = Plus(T.MultiplyAdd(p67, f2, p45), f4, 0.12583710253238678f);
        return T.MultiplyAdd(high, f4, low);
    }
}
