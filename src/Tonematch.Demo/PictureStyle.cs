using System.Numerics;
using Tonematch.Colour;

namespace Tonematch.Demo;

/// <summary>
/// How a simulated camera turns its linear RGB into code values: the BT.709 camera curve, then contrast, lifted black,
/// a soft shoulder, then saturation about BT.709 luma.
/// </summary>
internal sealed class PictureStyle
{
    private const int Entries = 8192;
    private const float Brightest = 4;
    private readonly float[] _curve = new float[Entries];
    private readonly float _saturation;

    public PictureStyle(double contrast, double blackLift, double saturation)
    {
        _saturation = (float)saturation;
        for (int i = 0; i < Entries; i++)
        {
            double root = (double)i / (Entries - 1);
            double code = TransferFunctions.Bt709FromScene(Brightest * root * root);
            double within = Math.Min(code, 1);
            code += contrast * ((within * within * (3 - (2 * within))) - within);
            code = blackLift + ((1 - blackLift) * code);
            const double knee = 0.90;
            _curve[i] = (float)(code <= knee ? code : knee + ((1 - knee) * (1 - Math.Exp((knee - code) / (1 - knee)))));
        }
    }

    /// <summary>Linear camera RGB (x, y, z; 0 or more) to code values.</summary>
    public Vector4 Code(Vector4 linear)
    {
        Vector4 clipped = Vector4.Min(Vector4.Max(linear, Vector4.Zero), new Vector4(Brightest));
        Vector4 at = (Vector4.SquareRoot(clipped / Brightest) * (Entries - 1)) + new Vector4(0.5f);
        Vector4 code = new(_curve[(int)at.X], _curve[(int)at.Y], _curve[(int)at.Z], 0);
        float luma = (0.2126f * code.X) + (0.7152f * code.Y) + (0.0722f * code.Z);
        Vector4 grey = new(luma, luma, luma, 0);
        return Vector4.Min(Vector4.Max(grey + ((code - grey) * _saturation), Vector4.Zero), Vector4.One);
    }
}
