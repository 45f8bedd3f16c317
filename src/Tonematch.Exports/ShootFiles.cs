using System.Collections.Immutable;
using System.Globalization;
using System.Security.Cryptography;
using Tonematch.Formats;
using Tonematch.Formats.Cube;
using Tonematch.Formats.Timelines;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Shoot;
using Tonematch.Media.Files;
using Tonematch.States;

namespace Tonematch.Exports;

/// <summary>
/// Writes the places of all clips: timeline.otio, an edit list for each camera, placement.csv and placement.txt,
/// corrections.csv.
/// </summary>
public static class ShootFiles
{
    /// <summary>Writes the files; each appears whole or not at all.</summary>
    /// <param name="places">The places of the clips.</param>
    /// <param name="folder">The destination; created if missing.</param>
    /// <param name="force">Whether files that exist may be replaced.</param>
    /// <param name="matches">The match of each camera except the first, and the folder of its correction (null without one); may be empty.</param>
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
        Dictionary<int, ImmutableArray<TimelineState>> states = [];
        foreach ((CameraMatch match, string? folderOf) in matches)
        {
            if (folderOf is not { } own)
            {
                continue;
            }

            string cube = Path.Combine(own, WholeName);
            corrections[match.Camera.Name] = (Relative(cube), Sha256(cube));
            foreach (int clip in match.Drifts.Keys)
            {
                drifts[clip] = Relative(Path.Combine(own, DriftNameOf(match, clip, places)));
            }

            if (match.States is { } found)
            {
                (string File, string Sha256)[] files = [.. found.Corrections.Select(c => Path.Combine(own, NameOf(match.Camera, c.TakenFrom))).Select(f => (Relative(f), Sha256(f)))];
                foreach (int clip in places.ClipsOf(match.Camera).Where(i => places.Times.Clips[i].IsPlaced))
                {
                    ImmutableArray<LightStretch> parts = found.PartsOf(places.Times.Clips[clip]);
                    states[clip] = [.. parts.Select(p => new TimelineState(p.FromSeconds, p.ToSeconds, $"light {p.State + 1}", files[p.State].File, files[p.State].Sha256))];
                }
            }
        }

        Timeline timeline = places.ToTimeline(
            Path.GetFileName(full), full, c => corrections.TryGetValue(c.Name, out (string, string) m) ? m : null, i => drifts.GetValueOrDefault(i),
            i => states.GetValueOrDefault(i, []));
        List<string> written = [];
        Put("timeline.otio", w => OtioFormat.Write(w, timeline));
        foreach (TimelineTrack track in timeline.Tracks.Where(t => !t.Clips.IsEmpty))
        {
            Put($"{FileNames.Safe(track.Name)}.edl", w => EditList.Write(w, timeline, track));
        }

        Timeline counted = Counted(timeline, places);
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
                        string whole = corrections.TryGetValue(match.Camera.Name, out (string File, string Sha256) c) ? c.File : "";
                        ImmutableArray<TimelineState> parts = states.GetValueOrDefault(i, [new TimelineState(0, places.Clips[i].DurationSeconds, "", whole, null)]);
                        foreach (TimelineState part in parts)
                        {
                            string note = part.Name.Length > 0 ? $"{part.Name}. {match.Note}" : match.Note;
                            w.Write(string.Join(',', new[] { match.Camera.Name, Path.GetFileName(places.Clips[i].Path), Seconds(part.FromSeconds), Seconds(part.ToSeconds), part.Correction, drifts.GetValueOrDefault(i) ?? "", note }.Select(Quoted)) + "\n");
                        }
                    }
                }
            });
        }

        return written;

        static string Seconds(double value) => value.ToString("0.###", CultureInfo.InvariantCulture);

        string Relative(string path) => Path.GetRelativePath(full, path).Replace('\\', '/');

        void Put(string name, Action<TextWriter> write)
        {
            AtomicFile.WriteText(Path.Combine(full, name), force, write);
            written.Add(name);
        }
    }

    /// <summary>The places of all clips as readable text: what placement.txt holds.</summary>
    public static string PlacesText(ShootPlaces places)
    {
        ArgumentNullException.ThrowIfNull(places);
        using StringWriter text = new(CultureInfo.InvariantCulture);
        PlacementTable.WriteText(text, places.Times, Counted(places.ToTimeline("", Directory.GetCurrentDirectory(), _ => null, _ => null, _ => []), places));
        return text.ToString();
    }

    // The tables count from the beginning of the first camera, as a person would.
    private static Timeline Counted(Timeline timeline, ShootPlaces places) =>
        timeline with { StartSeconds = timeline.StartSeconds > 0 ? timeline.StartSeconds - Math.Min(0, places.StartSeconds) : 0 };

    /// <summary>
    /// Writes a camera's files besides those of its match: if it was matched through another, the LUT that leads all the
    /// way to the first camera; a LUT for each lighting state; the drifts of its other clips.
    /// </summary>
    /// <param name="match">The match.</param>
    /// <param name="places">The places of its clips.</param>
    /// <param name="folder">The camera's folder.</param>
    /// <param name="force">Whether files that exist may be replaced.</param>
    /// <exception cref="UnusableInputException">A file cannot be written.</exception>
    public static void WriteBeside(CameraMatch match, ShootPlaces places, string folder, bool force)
    {
        ArgumentNullException.ThrowIfNull(match);
        ArgumentNullException.ThrowIfNull(places);
        ArgumentNullException.ThrowIfNull(folder);
        Directory.CreateDirectory(folder);
        if (match.Through is not null)
        {
            Put(WholeName, w => CubeFormat.Write(w, match.Lut!, $"{ProgramVersion.Text} {match.Camera.Name} through {match.Through}"));
        }

        foreach (StateCorrection state in match.States?.Corrections.Where(c => !c.IsTaken) ?? [])
        {
            Put(NameOf(match.Camera, state.State), w => CubeFormat.Write(w, state.Chosen.Lut, $"{ProgramVersion.Text} {match.Camera.Name} light {state.State + 1}"));
        }

        foreach ((int clip, DriftOutcome drift) in match.Drifts.Where(d => DriftNameOf(match, d.Key, places) != OwnDriftName))
        {
            Put(DriftNameOf(match, clip, places), w => DriftCsv.Write(w, drift.Track));
        }

        void Put(string name, Action<TextWriter> write) => AtomicFile.WriteText(Path.Combine(folder, name), force, write);
    }

    // The files of the match itself have these names too. A camera matched through another has those files in a folder of
    // their own, because they lead only half the way.
    private const string WholeName = "correction.cube";
    private const string OwnDriftName = "drift.csv";

    /// <summary>Where the files of a camera's match belong: the camera's folder, or one inside it if they lead to another camera than the first.</summary>
    public static string MatchFolderOf(CameraMatch match, string folder)
    {
        ArgumentNullException.ThrowIfNull(match);
        return match.Through is { } through ? Path.Combine(folder, $"match-to-{FileNames.Safe(through)}") : folder;
    }

    // Named by camera and state, because an editor lists it beside those of other cameras.
    private static string NameOf(ShootCamera camera, int state) => string.Create(CultureInfo.InvariantCulture, $"{FileNames.Safe(camera.Name)}-light-{state + 1}.cube");

    /// <summary>The name of the file with a clip's drift in its camera's folder.</summary>
    public static string DriftNameOf(CameraMatch match, int clip, ShootPlaces places)
    {
        ArgumentNullException.ThrowIfNull(match);
        ArgumentNullException.ThrowIfNull(places);
        return clip == match.SecondaryClip && match.Through is null ? OwnDriftName : $"drift-{FileNames.Safe(Path.GetFileNameWithoutExtension(places.Clips[clip].Path))}.csv";
    }

    // RFC 4180.
    private static string Quoted(string text) =>
        text.AsSpan().IndexOfAny(",\"\r\n") < 0 ? text : $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";

    private static string Sha256(string path)
    {
        using FileStream file = File.OpenRead(path);
        return Convert.ToHexStringLower(SHA256.HashData(file));
    }
}
