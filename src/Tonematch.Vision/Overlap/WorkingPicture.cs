using OpenCvSharp;
using Tonematch.Pictures;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// A picture prepared for feature search: its brightness at a working size, equalised so that exposure, contrast and
/// colour of the camera hardly matter.
/// </summary>
internal sealed class WorkingPicture : IDisposable
{
    // Enough detail for thousands of features, yet quick.
    private const int LongestSide = 1500;

    public WorkingPicture(Picture picture)
    {
        Picture = picture;
        using Mat bgr = PictureMat.ToBgr8(picture), grey = new();
        double scale = Math.Min(1, (double)LongestSide / Math.Max(picture.Width, picture.Height));
        int width = Math.Max(1, (int)Math.Round(picture.Width * scale)), height = Math.Max(1, (int)Math.Round(picture.Height * scale));
        if (scale < 1)
        {
            Cv2.Resize(bgr, Colour, new Size(width, height), 0, 0, InterpolationFlags.Area);
        }
        else
        {
            bgr.CopyTo(Colour);
        }

        ScaleX = (double)picture.Width / width;
        ScaleY = (double)picture.Height / height;
        Cv2.CvtColor(Colour, grey, ColorConversionCodes.BGR2GRAY);
        Stretch(grey);
        using CLAHE clahe = Cv2.CreateCLAHE(3, new Size(8, 8));
        clahe.Apply(grey, Luma);
    }

    /// <summary>The picture itself, where colours are measured.</summary>
    public Picture Picture { get; }

    /// <summary>Blue, green, red, 8 bit, at working size.</summary>
    public Mat Colour { get; } = new();

    /// <summary>Equalised brightness, 8 bit, at working size.</summary>
    public Mat Luma { get; } = new();

    /// <summary>Picture pixels per working pixel, across.</summary>
    public double ScaleX { get; }

    /// <summary>Picture pixels per working pixel, down.</summary>
    public double ScaleY { get; }

    /// <summary>Converts working to picture coordinates.</summary>
    public PicturePoint ToPicture(PicturePoint p) => new(p.X * ScaleX, p.Y * ScaleY);

    public void Dispose()
    {
        Colour.Dispose();
        Luma.Dispose();
    }

    // Two stops of underexposure reduce the contrast to a quarter: the range between the 0.5th and 99.5th percentile
    // becomes 0..255.
    private static void Stretch(Mat grey)
    {
        if (!grey.GetArray(out byte[] values))
        {
            return;
        }

        int[] counts = new int[256];
        foreach (byte v in values)
        {
            counts[v]++;
        }

        int low = Percentile(counts, values.Length * 0.005), high = Percentile(counts, values.Length * 0.995);
        double gain = 255.0 / Math.Max(8, high - low);
        grey.ConvertTo(grey, MatType.CV_8UC1, gain, -low * gain);
    }

    private static int Percentile(int[] counts, double rank)
    {
        double sum = 0;
        for (int i = 0; i < counts.Length; i++)
        {
            sum += counts[i];
            if (sum > rank)
            {
                return i;
            }
        }

        return counts.Length - 1;
    }
}
