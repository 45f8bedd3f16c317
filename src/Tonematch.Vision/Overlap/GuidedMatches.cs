using OpenCvSharp;
using Tonematch.Pictures;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// Matches more features once some are known: the surrounding known matches predict where a feature must lie, and only
/// features there compete, so that a pattern repeated elsewhere in the picture no longer confuses the search (guided
/// matching, R. Hartley and A. Zisserman, Multiple View Geometry, 2nd ed., algorithm 11.4, here with the local affine
/// map instead of the epipolar line alone).
/// </summary>
internal sealed class GuidedMatches
{
    private const double Cell = 24;
    private const double SamePlace = 3;
    private const double ScaleRatio = 1.7;
    private const double TurnDegrees = 30;

    private readonly KeyPoint[] _primary;
    private readonly KeyPoint[] _secondary;
    private readonly float[] _primaryDescriptors;
    private readonly float[] _secondaryDescriptors;
    private readonly int _length;
    private readonly Dictionary<(int, int), List<int>> _cells = [];

    /// <summary>Features of both pictures with their descriptors of unit length.</summary>
    public GuidedMatches(KeyPoint[] primary, KeyPoint[] secondary, float[] primaryDescriptors, float[] secondaryDescriptors)
    {
        (_primary, _secondary, _primaryDescriptors, _secondaryDescriptors) = (primary, secondary, primaryDescriptors, secondaryDescriptors);
        _length = primaryDescriptors.Length / primary.Length;
        for (int j = 0; j < secondary.Length; j++)
        {
            (int, int) key = ((int)(secondary[j].Pt.X / Cell), (int)(secondary[j].Pt.Y / Cell));
            if (!_cells.TryGetValue(key, out List<int>? list))
            {
                _cells[key] = list = [];
            }

            list.Add(j);
        }
    }

    /// <summary>The known matches and those found around them.</summary>
    /// <param name="known">Matches in pixels of the pictures the features were found in.</param>
    /// <param name="reach">How far from known matches to search, pixels.</param>
    /// <param name="ratio">Largest ratio of the best distance to the next best elsewhere.</param>
    public List<FeatureMatch> Around(List<FeatureMatch> known, double reach, double ratio)
    {
        List<FeatureMatch> all = [.. known];
        HashSet<(int, int)> taken = [.. known.Select(m => Key(m.Primary))];
        for (int i = 0; i < _primary.Length; i++)
        {
            PicturePoint at = new(_primary[i].Pt.X + 0.5, _primary[i].Pt.Y + 0.5);
            if (taken.Contains(Key(at)) || LocalMapping.Around(at, known, reach) is not LocalMapping predicted)
            {
                continue;
            }

            if (Best(i, predicted, ratio) is int j)
            {
                taken.Add(Key(at));
                KeyPoint p = _primary[i], s = _secondary[j];
                all.Add(new FeatureMatch(at, new(s.Pt.X + 0.5, s.Pt.Y + 0.5), s.Size / p.Size, s.Angle - p.Angle));
            }
        }

        return all;
    }

    private static (int, int) Key(PicturePoint p) => ((int)p.X, (int)p.Y);

    private int? Best(int i, LocalMapping predicted, double ratio)
    {
        PicturePoint at = predicted.Image;
        double radius = 8 + (4 * predicted.Scale) + (3 * predicted.ErrorPixels);
        (int best, float product) = (-1, 0f);
        List<(int Number, float Product)> near = [];
        for (int cy = (int)((at.Y - radius) / Cell); cy <= (int)((at.Y + radius) / Cell); cy++)
        {
            for (int cx = (int)((at.X - radius) / Cell); cx <= (int)((at.X + radius) / Cell); cx++)
            {
                foreach (int j in _cells.GetValueOrDefault((cx, cy)) ?? [])
                {
                    if (Square(_secondary[j].Pt.X + 0.5 - at.X, _secondary[j].Pt.Y + 0.5 - at.Y) > radius * radius || !IsAlike(_primary[i], _secondary[j], predicted))
                    {
                        continue;
                    }

                    float p = MutualNearest.Product(_primaryDescriptors.AsSpan(i * _length, _length), _secondaryDescriptors.AsSpan(j * _length, _length));
                    near.Add((j, p));
                    (best, product) = p > product ? (j, p) : (best, product);
                }
            }
        }

        if (best < 0)
        {
            return null;
        }

        // Without other features nearby, an average difference is the rival.
        const float ordinary = 0.75f;
        float rival = ordinary;
        foreach ((int j, float p) in near)
        {
            bool elsewhere = Square(_secondary[j].Pt.X - _secondary[best].Pt.X, _secondary[j].Pt.Y - _secondary[best].Pt.Y) > SamePlace * SamePlace;
            rival = elsewhere ? Math.Max(rival, p) : rival;
        }

        return MutualNearest.Distance(product) <= ratio * MutualNearest.Distance(rival) ? best : null;
    }

    private static bool IsAlike(KeyPoint p, KeyPoint s, LocalMapping predicted)
    {
        double scale = s.Size / p.Size / predicted.Scale, turn = s.Angle - p.Angle - predicted.TurnDegrees;
        turn -= 360 * Math.Round(turn / 360);
        return scale is < ScaleRatio and > 1 / ScaleRatio && Math.Abs(turn) < TurnDegrees;
    }

    private static double Square(double x, double y) => (x * x) + (y * y);
}
