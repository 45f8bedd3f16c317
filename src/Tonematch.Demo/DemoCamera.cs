using System.Numerics;
using Tonematch.Colour;

namespace Tonematch.Demo;

/// <summary>
/// A simulated camera: its position, start time and frame rate, the effect of its sensor and picture style on colours,
/// its noise and its microphone.
/// </summary>
internal sealed class DemoCamera
{
    private readonly Matrix3x2 _toPixels;
    private readonly Matrix3x2 _toScene;
    private readonly Vector4 _red, _green, _blue, _farRed;

    private DemoCamera(
        int height, Vector2 centre, float unitsAcross, float turnDegrees, float squeeze, Vector2 parallax,
        Matrix3 mix, Vector3 farRed, Vector3 gains, PictureStyle style)
    {
        (Height, Width, Parallax, Style) = (height, height * 16 / 9 / 2 * 2, parallax, style);
        PerUnit = Width / unitsAcross;
        _toPixels = Matrix3x2.CreateTranslation(-centre)
            * Matrix3x2.CreateScale(squeeze, 1)
            * Matrix3x2.CreateRotation(turnDegrees * MathF.PI / 180)
            * Matrix3x2.CreateScale(PerUnit)
            * Matrix3x2.CreateTranslation(Width / 2f, Height / 2f);
        Matrix3x2.Invert(_toPixels, out _toScene);
        _red = new Vector4((float)mix.M11 * gains.X, (float)mix.M21 * gains.Y, (float)mix.M31 * gains.Z, 0);
        _green = new Vector4((float)mix.M12 * gains.X, (float)mix.M22 * gains.Y, (float)mix.M32 * gains.Z, 0);
        _blue = new Vector4((float)mix.M13 * gains.X, (float)mix.M23 * gains.Y, (float)mix.M33 * gains.Z, 0);
        _farRed = new Vector4(farRed * gains, 0);
    }

    public int Width { get; }

    public int Height { get; }

    /// <summary>Pixels per scene unit.</summary>
    public float PerUnit { get; }

    /// <summary>Shift of objects across this camera's picture, scene units per unit of depth.</summary>
    public Vector2 Parallax { get; }

    public PictureStyle Style { get; }

    /// <summary>Frames per second, as a fraction.</summary>
    public required (int Numerator, int Denominator) FrameRate { get; init; }

    /// <summary>Scene time of the first frame, seconds.</summary>
    public required double StartSeconds { get; init; }

    /// <summary>Scene time at which it was stopped, seconds.</summary>
    public required double EndSeconds { get; init; }

    /// <summary>Standard deviation of the noise in 8-bit luma codes.</summary>
    public required double NoiseCodes { get; init; }

    /// <summary>Distance from the wheel to the microphone, metres.</summary>
    public required double DistanceMetres { get; init; }

    /// <summary>Reverberation at the microphone: seconds to -60 dB, and level relative to the direct sound.</summary>
    public required (double Seconds, double Level) Room { get; init; }

    /// <summary>The microphone's gain and its own hiss, relative to full scale.</summary>
    public required (double Gain, double Hiss) Microphone { get; init; }

    /// <summary>The seed of its noise.</summary>
    public required int Seed { get; init; }

    public int FrameCount =>
        (int)Math.Floor((EndSeconds - StartSeconds) * FrameRate.Numerator / FrameRate.Denominator);

    /// <summary>The primary: across the room, a neutral rendering with mild contrast.</summary>
    public static DemoCamera AcrossTheRoom(int height) => new(
        height, new Vector2(8, 4.5f), 16, 0, 1, Vector2.Zero,
        new Matrix3(1.04, -0.05, 0.01, -0.03, 1.05, -0.02, 0.00, -0.04, 1.04),
        new Vector3(0.004f, 0.001f, 0), new Vector3(0.93f, 0.93f, 0.93f),
        new PictureStyle(contrast: 0.10, blackLift: 0.0, saturation: 1.02))
    {
        FrameRate = (25, 1),
        StartSeconds = 0,
        EndSeconds = DemoScene.Seconds,
        NoiseCodes = 0.9,
        DistanceMetres = 5.1,
        Room = (0.75, 0.55),
        Microphone = (0.35, 0.0016),
        Seed = 11,
    };

    /// <summary>
    /// The secondary: close on the hands, warmer, darker, with more contrast and saturation; it is slightly sensitive
    /// to far red.
    /// </summary>
    public static DemoCamera OnTheHands(int height) => new(
        height, new Vector2(7.72f, 5.36f), 6.5f, 3.2f, 0.975f, new Vector2(0.045f, -0.02f),
        new Matrix3(0.93, 0.06, 0.01, 0.05, 0.98, -0.03, 0.01, 0.07, 0.92),
        new Vector3(0.045f, 0.012f, 0.010f), new Vector3(0.755f, 0.70f, 0.60f),
        new PictureStyle(contrast: 0.42, blackLift: 0.03, saturation: 1.14))
    {
        FrameRate = (30000, 1001),
        StartSeconds = 2.3725,
        EndSeconds = DemoScene.Seconds,
        NoiseCodes = 1.7,
        DistanceMetres = 1.3,
        Room = (0.45, 0.16),
        Microphone = (0.95, 0.004),
        Seed = 23,
    };

    /// <summary>Scene time of frame <paramref name="index"/>, seconds.</summary>
    public double SceneSeconds(int index) => StartSeconds + ((double)index * FrameRate.Denominator / FrameRate.Numerator);

    public Vector2 ToPixel(Vector2 place, float depth) => Vector2.Transform(place + (Parallax * depth), _toPixels);

    public Vector2 ToScene(Vector2 pixel, float depth) => Vector2.Transform(pixel, _toScene) - (Parallax * depth);

    /// <summary>Light in the scene's four bands to this camera's linear RGB (w stays 0).</summary>
    public Vector4 Sense(Vector4 light) => (_red * light.X) + (_green * light.Y) + (_blue * light.Z) + (_farRed * light.W);

    /// <summary>The code values of a noise-free, evenly lit surface.</summary>
    public CodeRgb CodeOf(Vector4 light)
    {
        Vector4 code = Style.Code(Sense(light));
        return new CodeRgb(code.X, code.Y, code.Z);
    }
}
