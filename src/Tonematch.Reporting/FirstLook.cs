using System.Collections.Immutable;
using Tonematch.Pictures;

namespace Tonematch.Reporting;

/// <summary>What the page shows first: the performance in both cameras, and one detail of it close up.</summary>
/// <param name="Primary">Camera A.</param>
/// <param name="Corrected">Camera B, corrected.</param>
/// <param name="Details">The same detail cut out of A, of B as recorded and of B corrected, at one size.</param>
public sealed record FirstLook(Picture Primary, Picture Corrected, ImmutableArray<Picture> Details)
{
    private const int DetailSide = 280;

    // Share of the picture's height.
    private const double DetailShare = 0.36, SmallestShare = 0.15, LargestShare = 0.8;

    /// <summary>
    /// Cuts the details out: around the most central thing that both cameras are known to show, otherwise from the
    /// middle.
    /// </summary>
    /// <param name="frame">The instant.</param>
    /// <param name="pairs">Corresponding colours with their places.</param>
    /// <param name="placesHold">Whether the places show the subject, and not a chart that was taken away.</param>
    public static FirstLook Of(ReportFrame frame, IEnumerable<ReportPair> pairs, bool placesHold)
    {
        ArgumentNullException.ThrowIfNull(frame);
        ArgumentNullException.ThrowIfNull(pairs);
        (Picture a, Picture b) = (frame.Primary, frame.Secondary);
        double sideA = DetailShare * a.Height, sideB = DetailShare * b.Height;
        (double X, double Y) atA = (a.Width / 2.0, a.Height / 2.0), atB = (b.Width / 2.0, b.Height / 2.0);
        Samples.SampleOrigin? central = placesHold
            ? pairs.Select(p => p.Origin).OfType<Samples.SampleOrigin>().MinBy(place => Math.Pow(place.Primary.X - 0.5, 2) + Math.Pow(place.Primary.Y - 0.5, 2))
            : null;
        if (central is { } o)
        {
            (PictureBox inA, PictureBox inB) = (o.Primary.In(a), o.Secondary.In(b));
            (atA, atB) = ((inA.X, inA.Y), (inB.X, inB.Y));
            double larger = inA.Width > 0 && inB.Width > 0 ? inB.Width / inA.Width : (double)b.Height / a.Height;
            sideB = Math.Clamp(sideA * larger, SmallestShare * b.Height, LargestShare * b.Height);
        }

        return new FirstLook(a, frame.Corrected, [Cut(a, atA, sideA), Cut(b, atB, sideB), Cut(frame.Corrected, atB, sideB)]);
    }

    // A square, moved inside the picture, at the details' one size.
    private static Picture Cut(Picture picture, (double X, double Y) centre, double side)
    {
        int n = Math.Clamp((int)side, 1, Math.Min(picture.Width, picture.Height));
        int left = Math.Clamp((int)(centre.X - (n / 2.0)), 0, picture.Width - n), top = Math.Clamp((int)(centre.Y - (n / 2.0)), 0, picture.Height - n);
        float[][] planes = [new float[n * n], new float[n * n], new float[n * n]];
        for (int y = 0; y < n; y++)
        {
            int from = ((top + y) * picture.Width) + left;
            picture.R.Slice(from, n).CopyTo(planes[0].AsSpan(y * n));
            picture.G.Slice(from, n).CopyTo(planes[1].AsSpan(y * n));
            picture.B.Slice(from, n).CopyTo(planes[2].AsSpan(y * n));
        }

        return PictureScale.ToSmall(new Picture(n, n, planes[0], planes[1], planes[2], picture.Encoding), DetailSide);
    }
}
