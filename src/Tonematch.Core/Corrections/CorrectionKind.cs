namespace Tonematch.Corrections;

/// <summary>The kinds of correction, from simple to flexible; this order decides ties.</summary>
public enum CorrectionKind
{
    /// <summary>Nothing is changed.</summary>
    Identity,

    /// <summary>One factor per channel, in linear light: exposure and white balance. 3 numbers.</summary>
    Gains,

    /// <summary>Lift, gamma and gain per channel in code values. 9 numbers.</summary>
    LiftGammaGain,

    /// <summary>ASC CDL v1.2: slope, offset and power per channel, and saturation. 10 numbers.</summary>
    Cdl,

    /// <summary>A 3x3 matrix in linear light. 9 numbers.</summary>
    Matrix,

    /// <summary>A monotone curve per channel, a 3x3 matrix, and another monotone curve per channel.</summary>
    CurvesMatrix,

    /// <summary>Root polynomial of degree 2 in linear light. 18 numbers.</summary>
    RootPolynomial,

    /// <summary>A smooth 3D grid of small offsets on top of a parametric kind.</summary>
    Lattice,
}
