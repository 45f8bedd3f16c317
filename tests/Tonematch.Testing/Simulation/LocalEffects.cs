namespace Tonematch.Testing.Simulation;

/// <summary>What a secondary camera does to parts of its picture, which no correction of colour can take out.</summary>
/// <param name="Veil">Stray light, as a share of white: each place has from none to this much.</param>
/// <param name="CornerStops">Vignetting: stops by which the corners are darker; grows with the square of the distance from the middle.</param>
/// <param name="ToneStops">Local tone mapping: a smooth field of exposure over the picture, as standard deviation in stops.</param>
/// <param name="PlaceStops">Light that differs between the things in the picture: each place is off by up to this many stops.</param>
public sealed record LocalEffects(double Veil, double CornerStops, double ToneStops, double PlaceStops)
{
    /// <summary>A camera that does the same everywhere.</summary>
    public static LocalEffects None { get; } = new(0, 0, 0, 0);
}
