using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>Between which tones a camera's pictures lie, as luma of their code values (weights of BT.709).</summary>
/// <param name="Black">Half a percent of the pixels are darker.</param>
/// <param name="Middle">Half of them are.</param>
/// <param name="White">Half a percent are lighter.</param>
public sealed record RecordedTones(double Black, double Middle, double White)
{
    // Noise and single sparks average out in a picture of this size.
    private const int Side = 320;

    private const double Tail = 0.005;

    /// <summary>Of all pictures together; pictures of other encodings than the first's are taken as they are.</summary>
    /// <param name="pictures">Pictures of one camera, at least one.</param>
    /// <exception cref="ArgumentException">There is none.</exception>
    public static RecordedTones Of(IReadOnlyList<Picture> pictures)
    {
        ArgumentNullException.ThrowIfNull(pictures);
        List<float> tones = [];
        foreach (Picture small in pictures.Select(p => PictureScale.ToSmall(p, Side)))
        {
            for (int i = 0; i < small.R.Length; i++)
            {
                tones.Add((0.2126f * small.R[i]) + (0.7152f * small.G[i]) + (0.0722f * small.B[i]));
            }
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
