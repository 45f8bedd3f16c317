namespace Tonematch.Corrections;

/// <summary>The kinds of correction, from simple to rich: the order in which ties are decided.</summary>
public enum CorrectionKind
{
    /// <summary>Nothing is changed.</summary>
    Identity,

    /// <summary>One factor a channel, in light: exposure and white balance. 3 numbers.</summary>
    Gains,

    /// <summary>Lift, gamma, gain a channel in code values. 9 numbers.</summary>
    LiftGammaGain,

    /// <summary>ASC CDL v1.2: slope, offset, power a channel and saturation. 10 numbers.</summary>
    Cdl,

    /// <summary>A 3x3 matrix in light. 9 numbers.</summary>
    Matrix,

    /// <summary>Monotone curve a channel, 3x3 matrix, monotone curve a channel.</summary>
    CurvesMatrix,

    /// <summary>Root polynomial of degree 2 in light. 18 numbers.</summary>
    RootPolynomial,

    /// <summary>A smooth 3D grid of small offsets on top of a parametric kind.</summary>
    Lattice,
}
