using System.Globalization;
using System.Security.Cryptography;
using Tonematch.Formats.Cube;
using Tonematch.Formats.Timelines;
using Tonematch.Matching;
using Tonematch.Matching.Shoot;
using Tonematch.Media.Files;

namespace Tonematch.Exports;

/// <summary>Writes where everything lies: timeline.otio, an edit list for each camera, placement.csv and placement.txt, corrections.csv.</summary>
public static class ShootFiles
{
    /// <summary>Writes the files; each appears whole or not at all.</summary>
    /// <param name="places">The places.</param>
    /// <param name="folder">Where to; made when it is not there.</param>
    /// <param name="force">Whether files that exist may be replaced.</param>
    /// <param name="matches">What was found for each camera but the first, and the folder its correction is in, null without one; may be empty.</param>
    /// <returns>The files' names.</returns>
    /// <exception cref="UnusableInputException">A file cannot be written.</exception>
    public static IReadOnlyList<string> Write(ShootPlaces places, string folder, bool force, IReadOnlyList<(CameraMatch Match, string? Folder)> matches)
    {
        ArgumentNullException.ThrowIfNull(places);
        ArgumentNullException.ThrowIfNull(matches);
        string full = Path.GetFullPath(folder);
        Directory.CreateDirectory(full);
        Dictionary<string, (string File, string Sha256)> corrections = [];
        Dictionary<int, string> drifts = [];
        foreach ((CameraMatch match, string? folderOf) in matches)
        {
            if (folderOf is not { } own)
            {
                continue;
            }

            string cube = Path.Combine(own, NameOf(match));
            corrections[match.Camera.Name] = (Relative(cube), Sha256(cube));
            if (match.Outcome!.Drift is not null)
            {
                drifts[match.SecondaryClip] = Relative(Path.Combine(own, "drift.csv"));
            }
        }

        Timeline timeline = places.ToTimeline(
            Path.GetFileName(full), full, c => corrections.TryGetValue(c.Name, out (string, string) m) ? m : null, i => drifts.GetValueOrDefault(i));
        List<string> written = [];
        Put("timeline.otio", w => OtioFormat.Write(w, timeline));
        foreach (TimelineTrack track in timeline.Tracks.Where(t => !t.Clips.IsEmpty))
        {
            Put($"{FileNames.Safe(track.Name)}.edl", w => EditList.Write(w, timeline, track));
        }

        // Both count from the first camera's beginning, as a person does.
        Timeline counted = timeline with { StartSeconds = timeline.StartSeconds > 0 ? timeline.StartSeconds - Math.Min(0, places.StartSeconds) : 0 };
        Put("placement.csv", w => PlacementTable.WriteCsv(w, places.Times, counted));
        Put("placement.txt", w => PlacementTable.WriteText(w, places.Times, counted));
        if (matches.Count > 0)
        {
            Put("corrections.csv", w =>
            {
                w.Write("camera,clip,from,to,correction,drift,note\n");
                foreach ((CameraMatch match, _) in matches)
                {
                    foreach (int i in places.ClipsOf(match.Camera))
                    {
                        string to = places.Clips[i].DurationSeconds.ToString("0.###", CultureInfo.InvariantCulture);
                        string correction = corrections.TryGetValue(match.Camera.Name, out (string File, string Sha256) c) ? c.File : "";
                        w.Write(string.Join(',', new[] { match.Camera.Name, Path.GetFileName(places.Clips[i].Path), "0", to, correction, drifts.GetValueOrDefault(i) ?? "", match.Note }.Select(Quoted)) + "\n");
                    }
                }
            });
        }

        return written;

        string Relative(string path) => Path.GetRelativePath(full, path).Replace('\\', '/');

        void Put(string name, Action<TextWriter> write)
        {
            AtomicFile.WriteText(Path.Combine(full, name), force, write);
            written.Add(name);
        }
    }

    /// <summary>For a camera that was matched through another: the LUT to the first camera, beside the one to the other.</summary>
    /// <param name="match">The match.</param>
    /// <param name="folder">Its folder.</param>
    /// <exception cref="UnusableInputException">The file cannot be written.</exception>
    public static void WriteThrough(CameraMatch match, ResultFolder folder)
    {
        ArgumentNullException.ThrowIfNull(match);
        ArgumentNullException.ThrowIfNull(folder);
        AtomicFile.WriteText(folder.PathOf(NameOf(match)), folder.Force, w => CubeFormat.Write(w, match.Lut!, $"{ProgramVersion.Text} {match.Camera.Name} through {match.Through}"));
    }

    private static string NameOf(CameraMatch match) => match.Through is { } through ? $"correction-through-{FileNames.Safe(through)}.cube" : "correction.cube";

    // RFC 4180.
    private static string Quoted(string text) =>
        text.AsSpan().IndexOfAny(",\"\r\n") < 0 ? text : $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";

    private static string Sha256(string path)
    {
        using FileStream file = File.OpenRead(path);
        return Convert.ToHexStringLower(SHA256.HashData(file));
    }
}
