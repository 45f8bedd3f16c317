namespace Tonematch.Formats.Clf;

/// <summary>The styles of an Exponent node (SMPTE ST 2136-1).</summary>
public enum ClfExponentStyle
{
    /// <summary>x^e, values below 0 become 0.</summary>
    BasicFwd,

    /// <summary>x^(1/e), values below 0 become 0.</summary>
    BasicRev,

    /// <summary>x^e, odd about 0.</summary>
    BasicMirrorFwd,

    /// <summary>x^(1/e), odd about 0.</summary>
    BasicMirrorRev,

    /// <summary>x^e, values below 0 pass unchanged.</summary>
    BasicPassThruFwd,

    /// <summary>x^(1/e), values below 0 pass unchanged.</summary>
    BasicPassThruRev,

    /// <summary>A power with an offset and a straight line near black: code to light.</summary>
    MonCurveFwd,

    /// <summary>The inverse of <see cref="MonCurveFwd"/>: light to code.</summary>
    MonCurveRev,

    /// <summary><see cref="MonCurveFwd"/>, odd about 0.</summary>
    MonCurveMirrorFwd,

    /// <summary><see cref="MonCurveRev"/>, odd about 0.</summary>
    MonCurveMirrorRev,
}
