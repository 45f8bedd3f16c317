using Tonematch.Pictures;

namespace Tonematch.Vision.Overlap;

/// <summary>A point seen by both cameras.</summary>
/// <param name="Primary">Its place in the primary's working picture.</param>
/// <param name="Secondary">Its place in the secondary's working picture.</param>
/// <param name="Scale">Ratio of object sizes in the secondary to those in the primary.</param>
/// <param name="TurnDegrees">Rotation of the secondary's view, degrees.</param>
internal readonly record struct FeatureMatch(PicturePoint Primary, PicturePoint Secondary, double Scale, double TurnDegrees);
