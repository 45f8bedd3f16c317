namespace Tonematch.Colour;

/// <summary>
/// Linear light of the scene as a camera's encoding describes it (the inverse of the camera curve), in the encoding's
/// own primaries; 1 is the light that gives code value 1 (in ACEScct that of a perfectly white, matt surface). White balance, exposure and 3x3 matrices act here.
/// </summary>
/// <param name="R">Red light, nominally 0..1.</param>
/// <param name="G">Green light, nominally 0..1.</param>
/// <param name="B">Blue light, nominally 0..1.</param>
public readonly record struct SceneRgb(double R, double G, double B);
