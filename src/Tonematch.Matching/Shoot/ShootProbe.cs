using System.Collections.Immutable;
using System.Globalization;
using System.Security.Cryptography;
using Tonematch.Media.Clips;

namespace Tonematch.Matching.Shoot;

/// <summary>Probes every file of every camera; files that cannot be used are named and skipped.</summary>
public static class ShootProbe
{
    // Copies are recognised by their length and the first and last megabyte, which no two recordings share.
    private const int ComparedBytes = 1 << 20;
    private const int AtATime = 2;

    /// <summary>The result of probing.</summary>
    /// <param name="Cameras">Cameras with usable clips, in the order given.</param>
    /// <param name="Notes">Files that were skipped and why, and anything that looks wrong with a folder, in sentences.</param>
    public sealed record Result(ImmutableArray<ShootCamera> Cameras, ImmutableArray<string> Notes);

    /// <summary>Probes all files.</summary>
    /// <param name="cameras">At least one.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="UnusableInputException">A camera has no usable file.</exception>
    public static async Task<Result> RunAsync(IReadOnlyList<CameraFiles> cameras, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(cameras);
        ArgumentNullException.ThrowIfNull(progress);
        (CameraFiles Camera, string File)[] all = [.. cameras.SelectMany(c => c.Files.Select(f => (c, f)))];
        ClipInfo?[] clips = new ClipInfo?[all.Length];
        string?[] why = new string?[all.Length];
        int done = 0;
        await Parallel.ForEachAsync(Enumerable.Range(0, all.Length), new ParallelOptions { MaxDegreeOfParallelism = AtATime, CancellationToken = cancel }, async (i, stop) =>
        {
            try
            {
                ClipInfo clip = await ClipProbe.ProbeClipOrSoundAsync(all[i].File, stop);
                clips[i] = clip.IsStillImage ? null : clip;
                why[i] = clip.IsStillImage ? $"'{all[i].File}' is a photo: skipped." : null;
            }
            catch (UnusableInputException e)
            {
                why[i] = $"Skipped: {e.Message}";
            }

            progress.Report(new("Looking at the clips", (double)Interlocked.Increment(ref done) / all.Length));
        });

        // Of a recording and its copies, the shortest name is kept: 'clip.mp4', not 'clip (1).mp4'.
        Dictionary<string, int> kept = [];
        string?[] marks = [.. clips.Select(c => c is null ? null : MarkOf(c.Path))];
        for (int i = 0; i < all.Length; i++)
        {
            if (marks[i] is { } mark && (!kept.TryGetValue(mark, out int other) || all[i].File.Length < all[other].File.Length))
            {
                kept[mark] = i;
            }
        }

        List<string> notes = [];
        List<ShootCamera> usable = [];
        foreach (CameraFiles camera in cameras)
        {
            List<ClipInfo> own = [];
            foreach (int i in Enumerable.Range(0, all.Length).Where(i => all[i].Camera == camera))
            {
                if (marks[i] is { } mark && kept[mark] != i)
                {
                    notes.Add($"'{all[i].File}' is a copy of '{all[kept[mark]].File}': skipped.");
                }
                else if (clips[i] is { } clip)
                {
                    own.Add(clip);
                }
                else if (why[i] is { } reason)
                {
                    notes.Add(reason);
                }
            }

            if (own.Count == 0)
            {
                throw new UnusableInputException($"Camera '{camera.Name}' has no usable clip. {string.Join(' ', notes.Take(3))}".TrimEnd());
            }

            // A sound recorder is a separate device with its own clock.
            if (own.Exists(c => c.HasPictures))
            {
                notes.AddRange(own.Where(c => !c.HasPictures).Select(c => $"'{c.Path}' holds only sound but lies among the clips of '{camera.Name}': skipped. To use it for sync, put the recorder's files in a folder of their own."));
                own.RemoveAll(c => !c.HasPictures);
            }

            usable.Add(new ShootCamera(camera.Name, [.. own]));
            notes.AddRange(Mixed(camera.Name, own));
            notes.AddRange(OtherDays(camera.Name, own));
        }

        if (!usable[0].HasPictures)
        {
            throw new UnusableInputException($"'{usable[0].Name}' holds only sound. Name the camera whose colours are right first, and the recorder after it.");
        }

        return new Result([.. usable], [.. notes]);
    }

    // Half a day away from most of the others: another evening, or the clock was changed in between.
    private static readonly TimeSpan s_anotherDay = TimeSpan.FromHours(12);

    /// <summary>Clips that were recorded on another day than most of the camera's, by its own clock.</summary>
    internal static IEnumerable<string> OtherDays(string name, IReadOnlyCollection<ClipInfo> clips)
    {
        DateTimeOffset[] dates = [.. clips.Select(c => c.RecordedAt).OfType<DateTimeOffset>().Order()];
        if (dates.Length < 2)
        {
            yield break;
        }

        DateTimeOffset usual = dates[dates.Length / 2];
        foreach (ClipInfo clip in clips.Where(c => c.RecordedAt is { } at && (at - usual).Duration() > s_anotherDay))
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"'{Path.GetFileName(clip.Path)}' is dated {clip.RecordedAt:yyyy-MM-dd}, most clips of '{name}' {usual:yyyy-MM-dd}, by the camera's own clock. If it is from another day, leave it out; its sound decides its place.");
        }
    }

    /// <summary>
    /// Signs of two cameras in one folder: two makers or models or, if the files do not name them, a different codec
    /// together with different sound, which one camera rarely changes at once.
    /// </summary>
    internal static IEnumerable<string> Mixed(string name, IReadOnlyCollection<ClipInfo> clips)
    {
        IGrouping<string, ClipInfo>[] devices = [.. clips.Where(c => c.Device is not null).GroupBy(c => c.Device!).OrderByDescending(g => g.Count())];
        if (devices.Length > 1)
        {
            yield return $"'{name}' holds clips of two cameras: {Path.GetFileName(devices[0].First().Path)} is from {devices[0].Key}, {Path.GetFileName(devices[1].First().Path)} from {devices[1].Key}. Give each camera its own folder: a correction is valid for one camera only.";
            yield break;
        }

        if (devices is [var only] && only.Count() == clips.Count)
        {
            yield break;
        }

        string KindOf(ClipInfo c) => $"{c.Codec} {c.BitDepth} bit, {(c.AudioTracks.IsEmpty ? "no sound" : $"{c.AudioTracks[0].Codec} {c.AudioTracks[0].SampleRate} Hz")}";
        ClipInfo[][] kinds = [.. clips.GroupBy(KindOf).OrderByDescending(g => g.Count()).Select(g => g.ToArray())];
        if (kinds.Length > 1)
        {
            yield return $"'{name}' looks like two cameras: {Path.GetFileName(kinds[0][0].Path)} is {KindOf(kinds[0][0])}, {Path.GetFileName(kinds[1][0].Path)} is {KindOf(kinds[1][0])}. If so, give each camera its own folder: a correction is valid for one camera only.";
        }
    }

    private static string MarkOf(string path)
    {
        using FileStream file = File.OpenRead(path);
        byte[] ends = new byte[2 * ComparedBytes];
        int n = file.ReadAtLeast(ends.AsSpan(0, ComparedBytes), ComparedBytes, throwOnEndOfStream: false);
        file.Position = Math.Max(0, file.Length - ComparedBytes);
        n += file.ReadAtLeast(ends.AsSpan(n, ComparedBytes), ComparedBytes, throwOnEndOfStream: false);
        return $"{file.Length} {Convert.ToHexString(SHA256.HashData(ends.AsSpan(0, n)))}";
    }
}
