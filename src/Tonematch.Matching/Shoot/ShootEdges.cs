using System.Collections.Immutable;
using Tonematch.Media.Frames;
using Tonematch.Media.Reading;
using Tonematch.Shoot;
using Tonematch.States;

namespace Tonematch.Matching.Shoot;

/// <summary>
/// When exactly one lighting state gives way to the next. What both cameras saw was compared at a few instants a minute;
/// between two of them the secondary's own pictures show the frame in which the light changed.
/// </summary>
internal static class ShootEdges
{
    // Large enough to average over, small enough to cost nothing beside the decoding.
    private const int PictureSide = 64;

    // Two frames of 50 a second.
    private const double FrameGapSeconds = 0.04;

    // Pictures before and after show the levels between which the light changes.
    private const double MarginSeconds = 2;

    // Edges known this well stay as they are.
    private const double ExactSeconds = 0.1;

    /// <summary>The stretches with their edges moved to where the secondary's pictures change; unchanged where none stands out.</summary>
    /// <param name="places">The places of all clips in time.</param>
    /// <param name="camera">The secondary.</param>
    /// <param name="stretches">In time order, each edge between two instants that were compared.</param>
    /// <param name="compared">The instants that were compared, on the shoot's clock, in any order.</param>
    /// <param name="reader">Reads the clips.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<ImmutableArray<LightStretch>> ExactAsync(
        ShootPlaces places, ShootCamera camera, ImmutableArray<LightStretch> stretches, IReadOnlyCollection<double> compared, ClipReader reader, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        LightStretch[] exact = [.. stretches];
        for (int k = 1; k < exact.Length; k++)
        {
            progress.Report(new("Finding when the light changed", (k - 1.0) / (exact.Length - 1)));
            double edge = exact[k].FromSeconds;
            double from = compared.Where(t => t <= edge).DefaultIfEmpty(edge).Max(), to = compared.Where(t => t > edge).DefaultIfEmpty(edge).Min();
            if (to - from > ExactSeconds && await ChangeAsync(places, camera, from, to, reader, cancel) is { } found)
            {
                exact[k - 1] = exact[k - 1] with { ToSeconds = found };
                exact[k] = exact[k] with { FromSeconds = found };
            }
        }

        return [.. exact];
    }

    // Clip by clip: between two clips the view may change as well.
    private static async Task<double?> ChangeAsync(ShootPlaces places, ShootCamera camera, double from, double to, ClipReader reader, CancellationToken cancel)
    {
        (double Seconds, double Stops)? largest = null;
        foreach (int clip in places.ClipsOf(camera))
        {
            PlacedClip placed = places.Times.Clips[clip];
            if (!placed.IsPlaced || placed.EndSeconds <= from || placed.StartSeconds >= to)
            {
                continue;
            }

            double begin = Math.Max(0, placed.ClipTime(from - MarginSeconds));
            List<LightInstant> pictures = [];
            await foreach (TimedPicture frame in reader.SequenceAsync(
                places.Clips[clip],
                new FrameSequenceOptions { MaxSide = PictureSide, MinGapSeconds = FrameGapSeconds, FromSeconds = begin, DurationSeconds = placed.ClipTime(to + MarginSeconds) - begin, LeavesBlockEdges = true },
                cancel))
            {
                using (frame)
                {
                    pictures.Add(LightEdge.Of(frame.Picture, placed.ShootTime(frame.Seconds)));
                }
            }

            if (LightEdge.Find(pictures) is { } change && change.Seconds > from && change.Seconds < to && change.Stops > (largest?.Stops ?? 0))
            {
                largest = change;
            }
        }

        return largest?.Seconds;
    }
}
