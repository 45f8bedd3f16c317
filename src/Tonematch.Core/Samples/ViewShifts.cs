namespace Tonematch.Samples;

/// <summary>How far two cameras' views have moved, in whole pixels of the pictures in which places are followed.</summary>
/// <param name="PrimaryX">Of the primary: above 0, things are farther to the right now.</param>
/// <param name="PrimaryY">Above 0, things are lower now.</param>
/// <param name="SecondaryX">Of the secondary, likewise.</param>
/// <param name="SecondaryY">Of the secondary, likewise.</param>
public readonly record struct ViewShifts(int PrimaryX, int PrimaryY, int SecondaryX, int SecondaryY);
