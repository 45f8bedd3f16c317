namespace Tonematch.Luts.Tables;

/// <summary>How a 3D table is interpolated.</summary>
public enum LutMethod
{
    /// <summary>
    /// Between the four corners of the tetrahedron around the colour: the default, best for neutrals.
    /// </summary>
    Tetrahedral,

    /// <summary>Between all eight corners of the cell.</summary>
    Trilinear,
}
