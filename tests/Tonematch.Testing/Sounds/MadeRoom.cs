using Tonematch.Sync.Sound;

namespace Tonematch.Testing.Sounds;

/// <summary>
/// A rectangular room: impulse responses by the image method (Allen and Berkley, J. Acoust. Soc. Am. 65(4), 1979),
/// with fractional delays, sound at 343.2 m/s.
/// </summary>
/// <param name="Width">Metres.</param>
/// <param name="Length">Metres.</param>
/// <param name="Height">Metres.</param>
/// <param name="Reflection">Share of the pressure that a wall gives back, 0..1 (0 is the open air).</param>
public sealed record MadeRoom(double Width, double Length, double Height, double Reflection)
{
    /// <summary>The response from a source to a microphone, places in metres from one corner.</summary>
    public float[] Response(int rate, (double X, double Y, double Z) source, (double X, double Y, double Z) mic, double seconds = 0.4)
    {
        float[] response = new float[(int)(seconds * rate) + 32];
        double reach = seconds * SoundTravel.MetresPerSecond;
        int nx = Images(Width), ny = Images(Length), nz = Images(Height);
        for (int ix = -nx; ix <= nx; ix++)
        {
            for (int px = 0; px < 2; px++)
            {
                double dx = ((1 - (2 * px)) * source.X) + (2 * ix * Width) - mic.X;
                for (int iy = -ny; iy <= ny; iy++)
                {
                    for (int py = 0; py < 2; py++)
                    {
                        double dy = ((1 - (2 * py)) * source.Y) + (2 * iy * Length) - mic.Y;
                        for (int iz = -nz; iz <= nz; iz++)
                        {
                            for (int pz = 0; pz < 2; pz++)
                            {
                                double dz = ((1 - (2 * pz)) * source.Z) + (2 * iz * Height) - mic.Z;
                                int walls = Math.Abs(ix - px) + Math.Abs(ix) + Math.Abs(iy - py) + Math.Abs(iy) + Math.Abs(iz - pz) + Math.Abs(iz);
                                Add(response, rate, Math.Sqrt((dx * dx) + (dy * dy) + (dz * dz)), walls);
                            }
                        }
                    }
                }
            }
        }

        return response;

        int Images(double side) => Reflection <= 0 ? 1 : Math.Min(12, (int)(reach / (2 * side)) + 1);
    }

    private void Add(float[] response, int rate, double metres, int walls)
    {
        double gain = Math.Pow(Reflection, walls) / Math.Max(0.3, metres);
        double place = metres / SoundTravel.MetresPerSecond * rate;
        if (gain < 1e-4 || place > response.Length - 9)
        {
            return;
        }

        int whole = (int)place;
        for (int k = Math.Max(0, whole - 7); k <= whole + 8; k++)
        {
            double x = k - place;
            double sinc = x == 0 ? 1 : Math.Sin(Math.PI * x) / (Math.PI * x);
            response[k] += (float)(gain * sinc * (0.5 + (0.5 * Math.Cos(Math.PI * x / 8.5))));
        }
    }
}
