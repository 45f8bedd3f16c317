using System.Runtime.Intrinsics;

namespace Tonematch.Colour;

/// <summary>
/// Roots of the three channels of one colour in parallel, in double: three to four times as fast as one after the
/// other, and accurate to a few units in the last place.
/// </summary>
/// <remarks>
/// A guess from the bits of the value as a float (read as an integer, they approximate its logarithm), one Householder
/// step to 1e-7 (minimax polynomials in the remainder), one more to full precision.
/// </remarks>
internal static class ChannelRoots
{
    /// <summary>
    /// Above this the guess would exceed the range of floats; there, and for NaN, callers compute each channel
    /// separately.
    /// </summary>
    public const double Limit = 1e30;

    /// <summary>Whether every lane is a number below <see cref="Limit"/>.</summary>
    public static bool CanDo(Vector256<double> x) => Vector256.LessThanAll(x, Vector256.Create(Limit));

    /// <summary>The cube roots of lanes that are 0 or 1e-30 to 1e30; undefined for negative lanes.</summary>
    public static Vector256<double> CubeRoot(Vector256<double> x)
    {
        Vector256<double> one = Vector256.Create(1.0), y = Guess(x, -1f / 3, 1419900500f);
        Vector256<double> r = Vector256.MultiplyAddEstimate(-(x * y), y * y, one), r2 = r * r;
        Vector256<double> low = Linear(r, 0.22221477329730988, 0.3333290219306946);
        Vector256<double> high = Linear(r, 0.14583425223827362, 0.17448216676712036);
        y = Vector256.MultiplyAddEstimate(Vector256.MultiplyAddEstimate(high, r2, low), r * y, y);

        Vector256<double> root = x * (y * y);
        r = Vector256.MultiplyAddEstimate(-root, y, one);
        return Vector256.MultiplyAddEstimate(Linear(r, 5.0 / 9, 2.0 / 3), r * root, root);
    }

    /// <summary>x^2.4 of lanes that are 0 or 1e-30 to 1e30.</summary>
    public static Vector256<double> Power24(Vector256<double> x)
    {
        Vector256<double> one = Vector256.Create(1.0), y = Guess(x, -1f / 5, 1277905900f), y2 = y * y;
        Vector256<double> r = Vector256.MultiplyAddEstimate(-(x * y), y2 * y2, one), r2 = r * r;
        Vector256<double> low = Linear(r, 0.11998296529054642, 0.2000000923871994);
        Vector256<double> high = Linear(r, 0.07228270918130875, 0.08797348290681839);
        high = Vector256.MultiplyAddEstimate(r2, Vector256.Create(0.06117171794176102), high);
        y = Vector256.MultiplyAddEstimate(Vector256.MultiplyAddEstimate(high, r2, low), r * y, y);

        Vector256<double> xy = x * y, power = xy * xy * xy;
        y2 = y * y;
        r = Vector256.MultiplyAddEstimate(-xy, y2 * y2, one);
        return Vector256.MultiplyAddEstimate(Linear(r, 12.0 / 25, 3.0 / 5), r * power, power);
    }

    private static Vector256<double> Linear(Vector256<double> x, double slope, double offset) =>
        Vector256.MultiplyAddEstimate(x, Vector256.Create(slope), Vector256.Create(offset));

    private static Vector256<double> Guess(Vector256<double> x, float slope, float offset)
    {
        Vector128<float> bits = Vector128.ConvertToSingle(Vector128.Narrow(x.GetLower(), x.GetUpper()).AsInt32());
        Vector128<float> guess = Vector128.ConvertToInt32Native(
            Vector128.MultiplyAddEstimate(bits, Vector128.Create(slope), Vector128.Create(offset))).AsSingle();
        return Vector256.Create(Vector128.WidenLower(guess), Vector128.WidenUpper(guess));
    }
}
