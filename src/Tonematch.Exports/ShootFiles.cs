using System.Security.Cryptography;
using Tonematch.Formats.Timelines;
using Tonematch.Matching.Shoot;
using Tonematch.Media.Files;

namespace Tonematch.Exports;

/// <summary>Writes where everything lies: timeline.otio, an edit list for each camera, placement.csv and placement.txt.</summary>
public static class ShootFiles
{
    /// <summary>Writes the files; each appears whole or not at all, and the timeline is read back first.</summary>
    /// <param name="places">The places.</param>
    /// <param name="folder">Where to; made when it is not there.</param>
    /// <param name="force">Whether files that exist may be replaced.</param>
    /// <param name="corrections">Each camera's correction file by the camera's name; those not in it have none.</param>
    /// <returns>The files' names.</returns>
    /// <exception cref="UnusableInputException">A file cannot be written.</exception>
    public static IReadOnlyList<string> Write(ShootPlaces places, string folder, bool force, IReadOnlyDictionary<string, string> corrections)
    {
        ArgumentNullException.ThrowIfNull(places);
        ArgumentNullException.ThrowIfNull(corrections);
        string full = Path.GetFullPath(folder);
        Directory.CreateDirectory(full);
        Dictionary<string, (string, string)> marks = corrections.ToDictionary(c => c.Key, c => (Path.GetRelativePath(full, c.Value).Replace('\\', '/'), Sha256(c.Value)));
        Timeline timeline = places.ToTimeline(Path.GetFileName(full), full, c => marks.TryGetValue(c.Name, out (string, string) m) ? m : null);
        List<string> written = [];
        Put("timeline.otio", w => OtioFormat.Write(w, timeline));
        foreach (TimelineTrack track in timeline.Tracks.Where(t => !t.Clips.IsEmpty))
        {
            Put($"{FileNames.Safe(track.Name)}.edl", w => EditList.Write(w, timeline, track));
        }

        // Both count from the first camera's beginning, as a person does.
        Timeline counted = timeline with { StartSeconds = timeline.StartSeconds - (timeline.StartSeconds > 0 ? Math.Min(0, places.StartSeconds) : 0) };
        Put("placement.csv", w => PlacementTable.WriteCsv(w, places.Times, counted));
        Put("placement.txt", w => PlacementTable.WriteText(w, places.Times, counted));
        return written;

        void Put(string name, Action<TextWriter> write)
        {
            AtomicFile.WriteText(Path.Combine(full, name), force, write);
            written.Add(name);
        }
    }

    private static string Sha256(string path)
    {
        using FileStream file = File.OpenRead(path);
        return Convert.ToHexStringLower(SHA256.HashData(file));
    }
}
