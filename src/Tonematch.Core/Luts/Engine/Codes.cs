using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Tonematch.Luts.Engine;

/// <summary>Results as integer codes: rounded to nearest, limited to 0..largest as every integer format must.</summary>
internal static class Codes
{
    /// <summary>Eight codes; NaN (which overflow can make) becomes 0.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<int> Of(Vector256<float> value, float maxCode)
    {
        Vector256<float> code = AtLeastZero(value * maxCode);
        code = Vector256.MinNative(code, Vector256.Create(maxCode));
        // The processor's own conversion rounds to nearest even; elsewhere in two steps with the same result.
        return Avx.IsSupported ? Avx.ConvertToVector256Int32(code) : Vector256.ConvertToInt32Native(Vector256.Round(code));
    }

    /// <summary>Negative values and NaN become 0.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<float> AtLeastZero(Vector256<float> value) =>
        // This processor's maximum is the second operand where one is NaN; elsewhere in two steps with the same result.
        Avx.IsSupported ? Avx.Max(value, Vector256<float>.Zero) : Vector256.GreaterThan(value, Vector256<float>.Zero) & value;

    /// <summary>One code, equal to the vector's.</summary>
    public static int Of(float value, float maxCode)
    {
        float code = value * maxCode;
        return (int)MathF.Round(Math.Min(code > 0 ? code : 0, maxCode), MidpointRounding.ToEven);
    }
}
