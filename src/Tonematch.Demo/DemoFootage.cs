using System.Collections.Immutable;
using System.Numerics;
using Tonematch.Colour;
using Tonematch.Media.Clips;
using Tonematch.Media.Rendering;

namespace Tonematch.Demo;

/// <summary>
/// Makes the demo's footage: a potter demonstrates glazing, one camera across the room (the primary), one close on the
/// hands (the secondary). The program draws everything and synthesises the sound; the picture is labelled accordingly
/// and used for the demo and for end-to-end tests only.
/// </summary>
public static class DemoFootage
{
    /// <summary>File names of the two clips in the folder.</summary>
    public const string PrimaryName = "potter-wide.mp4", SecondaryName = "potter-hands.mp4";

    /// <summary>The default number of rows of a picture; the width is 16/9 of it.</summary>
    public const int DefaultHeight = 540;

    /// <summary>Writes both clips atomically, replacing older ones with the same names.</summary>
    /// <param name="folder">The destination; created if missing.</param>
    /// <param name="cancel">Stops at once; no partial file remains.</param>
    /// <param name="progress">Receives the share that is done, 0..1.</param>
    /// <param name="height">Rows of a picture: 180..2160, a multiple of 36.</param>
    /// <exception cref="UnusableInputException">FFmpeg is missing or refuses.</exception>
    public static async Task<DemoClips> WriteAsync(
        string folder, CancellationToken cancel, IProgress<double>? progress = null, int height = DefaultHeight)
    {
        ArgumentException.ThrowIfNullOrEmpty(folder);
        ArgumentOutOfRangeException.ThrowIfLessThan(height, 180);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(height, 2160);
        if (height % 36 != 0)
        {
            throw new ArgumentOutOfRangeException(nameof(height), height, "The height must be a multiple of 36.");
        }

        DemoCamera primary = DemoCamera.AcrossTheRoom(height), secondary = DemoCamera.OnTheHands(height);
        Directory.CreateDirectory(folder);
        string[] paths = [Path.GetFullPath(Path.Combine(folder, PrimaryName)), Path.GetFullPath(Path.Combine(folder, SecondaryName))];
        int total = primary.FrameCount + secondary.FrameCount, done = 0;
        void OneMore() => progress?.Report((double)Interlocked.Increment(ref done) / total);

        using CancellationTokenSource both = CancellationTokenSource.CreateLinkedTokenSource(cancel);
        await Task.WhenAll(
            Task.Run(() => OneAsync(primary, paths[0]), cancel),
            Task.Run(() => OneAsync(secondary, paths[1]), cancel)).ConfigureAwait(false);
        return new DemoClips(paths[0], paths[1], Truth(primary, secondary));

        // One clip without the other is useless: if one fails, the other is cancelled.
        async Task OneAsync(DemoCamera camera, string path)
        {
            try
            {
                await WriteClipAsync(camera, path, OneMore, both.Token).ConfigureAwait(false);
            }
            catch (Exception e) when (e is not OperationCanceledException)
            {
                await both.CancelAsync().ConfigureAwait(false);
                throw;
            }
        }
    }

    private static DemoTruth Truth(DemoCamera primary, DemoCamera secondary)
    {
        double offset = primary.StartSeconds - secondary.StartSeconds;
        double travel = (secondary.DistanceMetres - primary.DistanceMetres) / DemoSound.MetresPerSecond;
        CodeRgb Seen(DemoCamera camera, int patch) => camera.CodeOf(Lighting.Shade(
            Surface.Facing(1, DemoChart.Reflectances[patch]), DemoScene.PatchCentre(patch), lamp: false));
        (double X, double Y) Place(DemoCamera camera, Vector2 place)
        {
            Vector2 pixel = camera.ToPixel(place, DemoScene.ChartDepth);
            return (pixel.X, pixel.Y);
        }

        ImmutableArray<(double X, double Y)> Corners(DemoCamera camera) => [.. DemoScene.ChartCorners.Select(c => Place(camera, c))];
        return new DemoTruth(
            offset, offset + travel, primary.DistanceMetres, secondary.DistanceMetres,
            [.. DemoScene.Claps.Select(c => c - primary.StartSeconds)],
            Math.Max(DemoScene.ChartFrom, secondary.StartSeconds) - primary.StartSeconds,
            DemoScene.ChartUntil - primary.StartSeconds,
            DemoScene.LampSeconds - primary.StartSeconds,
            Corners(primary), Corners(secondary),
            [.. DemoChart.Names.Select((name, i) => new DemoPatch(
                name, Seen(primary, i), Seen(secondary, i),
                Place(primary, DemoScene.PatchCentre(i)), Place(secondary, DemoScene.PatchCentre(i))))]);
    }

    private static async Task WriteClipAsync(DemoCamera camera, string path, Action oneMore, CancellationToken cancel)
    {
        string sound = path + ".sound.wav";
        try
        {
            DemoSound.WriteWav(sound, DemoSound.Record(camera));
            FrameRenderer renderer = new(camera, cancel);
            await DrawnClip.WriteAsync(
                path, camera.Width, camera.Height, new Rational(camera.FrameRate.Numerator, camera.FrameRate.Denominator), sound,
                "A potter demonstrates glazing (drawn by Tonematch, not filmed)", Frames(camera, renderer, oneMore, cancel), cancel).ConfigureAwait(false);
        }
        finally
        {
            File.Delete(sound);
        }
    }

    /// <summary>The frames in order; the next ones are drawn on other threads in the meantime.</summary>
    private static IEnumerable<Task<byte[]>> Frames(DemoCamera camera, FrameRenderer renderer, Action oneMore, CancellationToken cancel)
    {
        Queue<Task<byte[]>> ahead = new();
        int depth = Environment.ProcessorCount + 1;
        for (int i = 0; i < camera.FrameCount; i++)
        {
            int index = i;
            ahead.Enqueue(Task.Run(() => renderer.Draw(index), cancel));
            if (ahead.Count > depth)
            {
                yield return ahead.Dequeue();
                oneMore();
            }
        }

        while (ahead.Count > 0)
        {
            yield return ahead.Dequeue();
            oneMore();
        }
    }
}
