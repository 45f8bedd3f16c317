using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// Two static cameras show the same at other instants: the common places of one pair of frames are then valid for
/// another, and a pair with known light and colours adds nothing.
/// </summary>
internal sealed class SeenFrames
{
    // Pixels of the longer side; small enough that the 80 samples of a place's surroundings are not dominated by pixel
    // noise.
    private const int Side = 960;

    // Share of the places that must still look the same to both cameras; people may walk in front of some.
    private const double StillShare = 0.6;

    // A frame whose CIELAB mean differs by more than this has different light; well below the distance between lighting
    // states.
    private const double OtherLight = 1.5;

    // Share of the secondary's pixels with colours near no pair, beyond that of the searched frames.
    private const double NewColours = 0.01;
    private const double Cell = 8;
    private const int ColourPixels = 20000;

    private readonly FollowedPlaces _places;
    private readonly HashSet<(int, int, int)> _covered = [];
    private readonly List<Seen> _searched = [];

    private sealed record Seen(Lab Primary, Lab Secondary, Dictionary<(int, int, int), double> Colours);

    /// <summary>Starts from a searched pair of frames.</summary>
    public SeenFrames(OverlapFrame frame, IReadOnlyList<SamplePair> pairs)
    {
        (Picture p, Picture s) = Small(frame);
        _places = FollowedPlaces.From(p, s, pairs);
        Add(frame, pairs);
    }

    /// <summary>Adds another searched pair of frames of the same views.</summary>
    public void Add(OverlapFrame frame, IEnumerable<SamplePair> pairs)
    {
        _searched.Add(Look(frame));
        foreach (SamplePair pair in pairs)
        {
            (int l, int a, int b) = CellOf(frame.Secondary.Encoding.ToLab(pair.Secondary));
            for (int i = 0; i < 27; i++)
            {
                _covered.Add((l - 1 + (i % 3), a - 1 + (i / 3 % 3), b - 1 + (i / 9)));
            }
        }
    }

    /// <summary>Whether both cameras still see the same places as in the first pair of frames.</summary>
    public bool IsSameView(OverlapFrame frame)
    {
        (Picture p, Picture s) = Small(frame);
        return _places.Count >= OverlapSampler.FewestPairs && _places.Fits(p, s) && _places.At(p, s).Length >= StillShare * _places.Count;
    }

    /// <summary>
    /// Whether a pair of frames of the same views shows different light, or colours near no known pair.
    /// </summary>
    public bool TellsMore(OverlapFrame frame)
    {
        Seen seen = Look(frame);
        return _searched.TrueForAll(o => Math.Max(Distance(o.Primary, seen.Primary), Distance(o.Secondary, seen.Secondary)) > OtherLight)
            || Uncovered(seen) > _searched.Max(Uncovered) + NewColours;
    }

    private double Uncovered(Seen seen) => seen.Colours.Sum(c => _covered.Contains(c.Key) ? 0 : c.Value);

    private static (Picture Primary, Picture Secondary) Small(OverlapFrame frame) =>
        (PictureScale.ToSmall(frame.Primary, Side), PictureScale.ToSmall(frame.Secondary, Side));

    private static Seen Look(OverlapFrame frame)
    {
        Dictionary<(int, int, int), double> colours = [];
        return new Seen(Mean(frame.Primary, null), Mean(frame.Secondary, colours), colours);
    }

    private static Lab Mean(Picture picture, Dictionary<(int, int, int), double>? shares)
    {
        // An odd step, so that the pixels do not form columns.
        int step = Math.Max(1, picture.Width * picture.Height / ColourPixels) | 1, count = ((picture.Width * picture.Height) + step - 1) / step;
        double l = 0, a = 0, b = 0;
        for (int i = 0; i < picture.Width * picture.Height; i += step)
        {
            CodeRgb code = new(picture.R[i], picture.G[i], picture.B[i]);
            Lab lab = picture.Encoding.ToLab(code);
            (l, a, b) = (l + lab.L, a + lab.A, b + lab.B);
            if (shares is not null && !ColourStatistics.Clips(code))
            {
                (int, int, int) cell = CellOf(lab);
                shares[cell] = shares.GetValueOrDefault(cell) + (1.0 / count);
            }
        }

        return new Lab(l / count, a / count, b / count);
    }

    private static (int L, int A, int B) CellOf(Lab c) => ((int)Math.Floor(c.L / Cell), (int)Math.Floor(c.A / Cell), (int)Math.Floor(c.B / Cell));

    private static double Distance(Lab x, Lab y) => Math.Sqrt(((x.L - y.L) * (x.L - y.L)) + ((x.A - y.A) * (x.A - y.A)) + ((x.B - y.B) * (x.B - y.B)));
}
