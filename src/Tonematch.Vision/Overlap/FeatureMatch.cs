using Tonematch.Pictures;

namespace Tonematch.Vision.Overlap;

/// <summary>A point seen by both cameras.</summary>
/// <param name="Primary">Where in the primary's working picture.</param>
/// <param name="Secondary">Where in the secondary's working picture.</param>
/// <param name="Scale">Size of things in the secondary over their size in the primary.</param>
/// <param name="TurnDegrees">How far the secondary's view is turned, degrees.</param>
internal readonly record struct FeatureMatch(PicturePoint Primary, PicturePoint Secondary, double Scale, double TurnDegrees);
