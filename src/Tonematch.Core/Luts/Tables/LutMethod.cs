namespace Tonematch.Luts.Tables;

/// <summary>How a 3D table is read between its nodes.</summary>
public enum LutMethod
{
    /// <summary>Four corners of the tetrahedron the colour lies in: the default; keeps neutrals best.</summary>
    Tetrahedral,

    /// <summary>All eight corners of the cell.</summary>
    Trilinear,
}
