using System.Collections.Immutable;
using Tonematch.Media.Clips;
using Tonematch.Media.Sound;
using Tonematch.Shoot;
using Tonematch.Sync;
using Tonematch.Sync.Sound;

namespace Tonematch.Matching.Shoot;

/// <summary>Places all clips of all cameras on the first camera's clock, using sound and timecode.</summary>
public static class ShootSync
{
    private const int SampleRate = 16000;

    // Sound kept in memory while pairs are compared: an hour takes 115 MB.
    private const double MostKeptSeconds = 2 * 3600;

    /// <summary>Compares the sound of all clips.</summary>
    /// <param name="cameras">From <see cref="ShootProbe"/>.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<ShootPlaces> RunAsync(ImmutableArray<ShootCamera> cameras, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(progress);
        (ShootCamera Camera, ClipInfo Clip)[] all = [.. cameras.SelectMany(c => c.Clips.Select(clip => (c, clip)))];
        string[] names = Names(all);
        ShootClip[] clips = [.. all.Select((x, i) => new ShootClip(x.Camera.Name, names[i], Math.Max(x.Clip.DurationSeconds, 0.001), DeviceTimes.Of(x.Clip, x.Camera)))];
        SoundOutline?[] outlines = new SoundOutline?[all.Length];
        SoundShelf shelf = new(MostKeptSeconds, i => ListenAsync(all[i].Clip, cancel));
        double heard = 0, length = all.Sum(x => x.Clip.DurationSeconds);
        for (int i = 0; i < all.Length; i++)
        {
            progress.Report(new("Listening to all recordings", heard / length));
            if (all[i].Clip.AudioTracks.Any(t => t.IsReadable))
            {
                MonoSound sound = await shelf.GetAsync(i);
                outlines[i] = await Task.Run(() => SoundOutline.Of(sound, cancel), cancel);
            }

            heard += all[i].Clip.DurationSeconds;
        }

        progress.Report(new("Finding which clips heard the same", 0));
        IReadOnlyList<LikelyMeeting> likely = await Task.Run(() => LikelyMeetings.Find(clips, outlines, cancel), cancel);
        SyncOptions options = new() { FrameSeconds = all[0].Clip.FrameRate.Value > 0 ? 1 / all[0].Clip.FrameRate.Value : 0.04 };
        ImmutableArray<Meeting> meetings = await Task.Run(
            () => ShootListening.Listen(clips, likely, i => shelf.GetAsync(i).GetAwaiter().GetResult(), options, new Counted(progress, likely.Count), cancel), cancel);
        return new ShootPlaces(cameras, [.. all.Select(x => x.Clip)], ShootClock.Solve(clips, meetings), meetings);
    }

    private static async Task<MonoSound> ListenAsync(ClipInfo clip, CancellationToken cancel) =>
        await SoundReader.ReadMonoAsync(clip, SampleRate, await SoundReader.ChooseTrackAsync(clip, cancel), cancel: cancel);

    // The file name, with the camera's name where two cameras use the same one.
    private static string[] Names((ShootCamera Camera, ClipInfo Clip)[] all)
    {
        HashSet<string> twice = [.. all.GroupBy(x => Path.GetFileName(x.Clip.Path), StringComparer.OrdinalIgnoreCase).Where(g => g.Count() > 1).Select(g => g.Key)];
        return [.. all.Select(x => Path.GetFileName(x.Clip.Path) is var n && twice.Contains(n) ? $"{x.Camera.Name}/{n}" : n)];
    }

    private sealed class Counted(IProgress<StageProgress> progress, int count) : IProgress<int>
    {
        public void Report(int value) => progress.Report(new("Measuring their places in time", count == 0 ? 1 : (double)value / count));
    }

    /// <summary>The most recently used sounds; others are read again when needed.</summary>
    private sealed class SoundShelf(double mostSeconds, Func<int, Task<MonoSound>> read)
    {
        private readonly List<(int Clip, MonoSound Sound)> _kept = [];

        public async Task<MonoSound> GetAsync(int clip)
        {
            int at = _kept.FindIndex(k => k.Clip == clip);
            MonoSound sound = at >= 0 ? _kept[at].Sound : await read(clip);
            if (at >= 0)
            {
                _kept.RemoveAt(at);
            }

            _kept.Add((clip, sound));
            while (_kept.Count > 2 && _kept.Sum(k => k.Sound.DurationSeconds) > mostSeconds)
            {
                _kept.RemoveAt(0);
            }

            return sound;
        }
    }
}
