using System.Runtime.Intrinsics;

namespace Tonematch.Luts.Engine;

/// <summary>
/// Where pixels come from and go to: one small struct a format, a type parameter of the loop, so that each format
/// compiles to a tight loop of its own. Values are codes as floats: 0..<see cref="MaxCode"/>.
/// </summary>
internal interface IPixels
{
    /// <summary>The code that stands for 1: 1 for floats, 255 for bytes.</summary>
    float MaxCode { get; }

    /// <summary>Eight pixels from the given one on.</summary>
    void Load(int at, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);

    /// <summary>Writes eight results, on the scale 0..1.</summary>
    void Store(int at, Vector256<float> r, Vector256<float> g, Vector256<float> b);

    /// <summary>One pixel.</summary>
    void LoadOne(int at, out float r, out float g, out float b);

    /// <summary>Writes one result, on the scale 0..1.</summary>
    void StoreOne(int at, float r, float g, float b);
}
