namespace Tonematch.Testing.Simulation;

/// <summary>How a camera turns light into a picture: families of picture styles.</summary>
public enum RenderingFamily
{
    /// <summary>The BT.709 camera curve and nothing else.</summary>
    Plain,

    /// <summary>BT.709 with highlights compressed by a knee.</summary>
    Knee,

    /// <summary>An S-shaped contrast curve on code values and a lifted black.</summary>
    ContrastLiftedBlack,

    /// <summary>More or less saturation and hues turned by different angles, on colour differences.</summary>
    SaturationHueTwist,

    /// <summary>A film-like curve with a long toe and shoulder, and some mixing of channels before it.</summary>
    Filmic,
}
