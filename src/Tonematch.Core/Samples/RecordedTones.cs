using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>The range of tones in a camera's pictures, as luma of their code values (BT.709 weights).</summary>
/// <param name="Black">0.5 % of the pixels are darker.</param>
/// <param name="Middle">50 % of the pixels are darker.</param>
/// <param name="White">0.5 % of the pixels are lighter.</param>
public sealed record RecordedTones(double Black, double Middle, double White)
{
    // Noise and single bright points average out in a picture of this size.
    private const int Side = 320;

    private const double Tail = 0.005;

    /// <summary>Measures all pictures together, without converting between their encodings.</summary>
    /// <param name="pictures">At least one picture of one camera.</param>
    /// <exception cref="ArgumentException">There is no picture.</exception>
    public static RecordedTones Of(IReadOnlyList<Picture> pictures)
    {
        ArgumentNullException.ThrowIfNull(pictures);
        List<float> tones = [];
        foreach (Picture small in pictures.Select(p => PictureScale.ToSmall(p, Side)))
        {
            tones.AddRange(Luma.Of(small));
        }

        if (tones.Count == 0)
        {
            throw new ArgumentException("At least one picture is needed.", nameof(pictures));
        }

        tones.Sort();
        double At(double share) => tones[(int)Math.Round(share * (tones.Count - 1))];
        return new RecordedTones(At(Tail), At(0.5), At(1 - Tail));
    }
}
