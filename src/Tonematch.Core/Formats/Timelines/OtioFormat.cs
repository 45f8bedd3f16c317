using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace Tonematch.Formats.Timelines;

/// <summary>
/// OpenTimelineIO files (Academy Software Foundation; 'OpenTimelineIO file format specification' and 'Serialized data'
/// of its documentation): Timeline.1, Stack.1, Track.1, Gap.1, Clip.2, ExternalReference.1, LinearTimeWarp.1,
/// TimeRange.1, RationalTime.1, Marker.2. Our own data is under metadata.tonematch.
/// </summary>
public static class OtioFormat
{
    private const int MaxDepth = 64;

    // Sound rates are far above picture rates; ten million seconds are four months.
    private const double HighestRate = 1e6;
    private const double MostSeconds = 1e7;
    private const int LongestQuoted = 60;
    private static readonly JsonSerializerOptions s_indented = new() { WriteIndented = true, MaxDepth = MaxDepth };

    /// <summary>Writes a timeline.</summary>
    public static void Write(TextWriter writer, Timeline timeline)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(timeline);
        double rate = timeline.FramesPerSecond;
        JsonArray tracks = [];
        foreach (TimelineTrack track in timeline.Tracks)
        {
            tracks.Add(Track(track, rate));
        }

        JsonObject root = new()
        {
            ["OTIO_SCHEMA"] = "Timeline.1",
            ["global_start_time"] = Time(Math.Round(timeline.StartSeconds * rate), rate),
            ["metadata"] = new JsonObject { ["tonematch"] = new JsonObject { ["version"] = 1, ["drop_frame"] = timeline.IsDropFrame } },
            ["name"] = timeline.Name,
            ["tracks"] = Item("Stack.1", "tracks", [], null, new() { ["children"] = tracks }),
        };
        writer.Write(root.ToJsonString(s_indented).ReplaceLineEndings("\n") + "\n");
    }

    /// <summary>Reads a timeline: its tracks of clips and gaps. Other items count as gaps of their length.</summary>
    /// <param name="reader">The text.</param>
    /// <param name="fileName">How messages name the file.</param>
    /// <exception cref="UnusableInputException">The text is not a readable timeline.</exception>
    public static Timeline Read(TextReader reader, string fileName)
    {
        ArgumentNullException.ThrowIfNull(reader);
        try
        {
            using JsonDocument document = JsonDocument.Parse(reader.ReadToEnd(), new JsonDocumentOptions { MaxDepth = MaxDepth });
            JsonElement root = document.RootElement;
            if (SchemaOf(root) != "Timeline")
            {
                throw new UnusableInputException($"'{fileName}' is not an OpenTimelineIO timeline (its OTIO_SCHEMA is '{Short(SchemaOf(root))}').");
            }

            JsonElement[] children = [.. root.GetProperty("tracks").GetProperty("children").EnumerateArray().Where(c => SchemaOf(c) == "Track")];
            double rate = RateOf(root, children);
            double start = root.TryGetProperty("global_start_time", out JsonElement s) && s.ValueKind == JsonValueKind.Object ? SecondsOf(s) : 0;
            bool drop = Ours(root) is { } own && own.TryGetProperty("drop_frame", out JsonElement d) && d.ValueKind == JsonValueKind.True;
            return Sound(new Timeline(Text(root, "name") ?? "", rate, start, drop, [.. children.Select(ReadTrack)]));
        }
        catch (JsonException e)
        {
            throw UnusableInputException.NotJson($"'{fileName}'", e);
        }
        catch (Exception e) when (e is KeyNotFoundException or InvalidOperationException or FormatException or ArgumentException)
        {
            throw new UnusableInputException($"'{fileName}' is not a readable OpenTimelineIO file: {e.Message}", e);
        }
    }

    // Refuses impossible numbers and file names.
    private static Timeline Sound(Timeline timeline)
    {
        static bool IsRate(double rate) => rate is > 0 and <= HighestRate;
        static bool IsTime(double seconds) => Math.Abs(seconds) <= MostSeconds;
        static bool IsName(string? name) => name is null || !name.Contains('\0', StringComparison.Ordinal);
        if (!IsRate(timeline.FramesPerSecond) || !IsTime(timeline.StartSeconds))
        {
            throw new FormatException("its rate or its start is not valid for a timeline");
        }

        foreach (TimelineClip c in timeline.Tracks.SelectMany(t => t.Clips))
        {
            if (!IsRate(c.FramesPerSecond) || !IsTime(c.StartSeconds) || !IsTime(c.MediaStartSeconds) || c.DurationSeconds is not (>= 0 and <= MostSeconds)
                || !(Math.Abs(c.RatePpm) < HighestRate) || !IsName(c.Url) || !IsName(c.Correction) || !IsName(c.DriftTrack))
            {
                throw new FormatException($"the clip '{Short(c.Name)}' has an invalid time, rate or file name");
            }
        }

        return timeline;
    }

    private static string Short(string? text) => text is null ? "" : text.Length <= LongestQuoted ? text : text[..LongestQuoted] + "...";

    private static JsonObject Track(TimelineTrack track, double rate)
    {
        JsonArray children = [];
        double at = 0;
        foreach (TimelineClip clip in track.Clips.OrderBy(c => c.StartSeconds))
        {
            // A clip begins at a whole frame of the timeline, a recorder's at a whole sample, measured from what has been
            // written so far, so that rounding does not accumulate.
            double unit = track.HasPictures ? rate : clip.FramesPerSecond, gap = Math.Round((clip.StartSeconds - at) * unit);
            if (gap >= 1)
            {
                children.Add(Item("Gap.1", "", [], Range(Time(0, unit), Time(gap, unit)), []));
                at += gap / unit;
            }

            double frames = Math.Max(1, Math.Round(clip.DurationSeconds * clip.FramesPerSecond));
            children.Add(Clip(clip, frames, rate));
            at += frames / clip.FramesPerSecond;
        }

        return Item("Track.1", track.Name, [], null, new() { ["children"] = children, ["kind"] = track.HasPictures ? "Video" : "Audio" });
    }

    private static JsonObject Clip(TimelineClip clip, double frames, double timelineRate)
    {
        JsonObject Available() => Range(
            Time(Math.Round(clip.MediaStartSeconds * clip.FramesPerSecond), clip.FramesPerSecond), Time(frames, clip.FramesPerSecond));
        JsonArray effects = [];
        if (Math.Abs(clip.RatePpm) * 1e-6 * clip.DurationSeconds * timelineRate >= 0.5)
        {
            // From half a frame of drift over the clip, an editor may want to run it at the timeline's pace.
            effects.Add(new JsonObject
            {
                ["OTIO_SCHEMA"] = "LinearTimeWarp.1",
                ["effect_name"] = "LinearTimeWarp",
                ["metadata"] = new JsonObject(),
                ["name"] = "clock drift",
                ["time_scalar"] = 1 + (clip.RatePpm * 1e-6),
            });
        }

        JsonObject own = new()
        {
            ["start_seconds"] = clip.StartSeconds,
            ["duration_seconds"] = clip.DurationSeconds,
            ["drift_ppm"] = clip.RatePpm,
            ["confidence"] = clip.Confidence,
        };
        if (clip.Correction is not null)
        {
            own["correction"] = clip.Correction;
            own["correction_sha256"] = clip.CorrectionSha256;
        }

        if (clip.DriftTrack is not null)
        {
            own["drift_track"] = clip.DriftTrack;
        }

        JsonObject reference = new()
        {
            ["OTIO_SCHEMA"] = "ExternalReference.1",
            ["available_image_bounds"] = null,
            ["available_range"] = Available(),
            ["metadata"] = new JsonObject(),
            ["name"] = clip.Name,
            ["target_url"] = string.Join('/', clip.Url.Split('/').Select(Uri.EscapeDataString)),
        };
        JsonObject item = Item("Clip.2", clip.Name, effects, Available(), new()
        {
            ["active_media_reference_key"] = "DEFAULT_MEDIA",
            ["media_references"] = new JsonObject { ["DEFAULT_MEDIA"] = reference },
        });
        item["metadata"] = new JsonObject { ["tonematch"] = own };
        item["markers"] = new JsonArray([.. clip.States.Select(s => (JsonNode)Marker(s, clip))]);
        return item;
    }

    // Where the light changes, the correction changes: shown as a marker and recorded in the metadata.
    private static JsonObject Marker(TimelineState state, TimelineClip clip)
    {
        double rate = clip.FramesPerSecond, first = Math.Round(clip.MediaStartSeconds * rate), from = Math.Round(state.FromSeconds * rate);
        return new()
        {
            ["OTIO_SCHEMA"] = "Marker.2",
            ["color"] = "CYAN",
            ["comment"] = state.Correction,
            ["marked_range"] = Range(Time(first + from, rate), Time(Math.Max(0, Math.Round(state.ToSeconds * rate) - from), rate)),
            ["metadata"] = new JsonObject
            {
                ["tonematch"] = new JsonObject
                {
                    ["from_seconds"] = state.FromSeconds,
                    ["to_seconds"] = state.ToSeconds,
                    ["correction"] = state.Correction,
                    ["correction_sha256"] = state.CorrectionSha256,
                },
            },
            ["name"] = state.Name,
        };
    }

    private static JsonObject Item(string schema, string name, JsonArray effects, JsonObject? range, JsonObject more)
    {
        JsonObject item = new()
        {
            ["OTIO_SCHEMA"] = schema,
            ["effects"] = effects,
            ["enabled"] = true,
            ["markers"] = new JsonArray(),
            ["metadata"] = new JsonObject(),
            ["name"] = name,
            ["source_range"] = range,
        };
        foreach ((string key, JsonNode? value) in more.ToArray())
        {
            more.Remove(key);
            item[key] = value;
        }

        return item;
    }

    private static JsonObject Range(JsonObject start, JsonObject duration) =>
        new() { ["OTIO_SCHEMA"] = "TimeRange.1", ["duration"] = duration, ["start_time"] = start };

    private static JsonObject Time(double value, double rate) =>
        new() { ["OTIO_SCHEMA"] = "RationalTime.1", ["rate"] = rate, ["value"] = value };

    private static string SchemaOf(JsonElement e) =>
        e.ValueKind == JsonValueKind.Object && e.TryGetProperty("OTIO_SCHEMA", out JsonElement s) && s.GetString() is { } text ? text.Split('.')[0] : "";

    private static double SecondsOf(JsonElement time)
    {
        double rate = time.GetProperty("rate").GetDouble();
        return rate > 0 ? time.GetProperty("value").GetDouble() / rate : throw new FormatException("a time has no rate");
    }

    private static string? Text(JsonElement e, string name) =>
        e.TryGetProperty(name, out JsonElement v) && v.ValueKind == JsonValueKind.String ? v.GetString() : null;

    private static JsonElement? Ours(JsonElement e) =>
        e.TryGetProperty("metadata", out JsonElement m) && m.ValueKind == JsonValueKind.Object && m.TryGetProperty("tonematch", out JsonElement t) && t.ValueKind == JsonValueKind.Object ? t : null;

    private static JsonElement? RangeOf(JsonElement item, JsonElement? reference) =>
        item.TryGetProperty("source_range", out JsonElement s) && s.ValueKind == JsonValueKind.Object ? s
        : reference is { } r && r.TryGetProperty("available_range", out JsonElement a) && a.ValueKind == JsonValueKind.Object ? a
        : null;

    // The rate of the timeline's start or, without one, of the first time found.
    private static double RateOf(JsonElement root, JsonElement[] tracks)
    {
        if (root.TryGetProperty("global_start_time", out JsonElement s) && s.ValueKind == JsonValueKind.Object)
        {
            return s.GetProperty("rate").GetDouble();
        }

        foreach (JsonElement child in tracks.SelectMany(t => t.GetProperty("children").EnumerateArray()))
        {
            if (RangeOf(child, ReferenceOf(child)) is { } range)
            {
                return range.GetProperty("duration").GetProperty("rate").GetDouble();
            }
        }

        return 24;
    }

    // Clip.2 holds several references and names the active one; Clip.1 held one.
    private static JsonElement? ReferenceOf(JsonElement clip)
    {
        if (clip.TryGetProperty("media_references", out JsonElement many) && many.ValueKind == JsonValueKind.Object)
        {
            string key = Text(clip, "active_media_reference_key") ?? "DEFAULT_MEDIA";
            return many.TryGetProperty(key, out JsonElement one) && one.ValueKind == JsonValueKind.Object ? one : null;
        }

        return clip.TryGetProperty("media_reference", out JsonElement single) && single.ValueKind == JsonValueKind.Object ? single : null;
    }

    // Markers of other programs are ignored.
    private static ImmutableArray<TimelineState> States(JsonElement clip)
    {
        ImmutableArray<TimelineState>.Builder states = ImmutableArray.CreateBuilder<TimelineState>();
        if (clip.TryGetProperty("markers", out JsonElement markers) && markers.ValueKind == JsonValueKind.Array)
        {
            foreach (JsonElement marker in markers.EnumerateArray())
            {
                if (Ours(marker) is { } own && Text(own, "correction") is { } correction)
                {
                    states.Add(new TimelineState(
                        own.GetProperty("from_seconds").GetDouble(), own.GetProperty("to_seconds").GetDouble(), Text(marker, "name") ?? "", correction, Text(own, "correction_sha256")));
                }
            }
        }

        return states.Count == 0 ? [] : states.ToImmutable();
    }

    private static TimelineTrack ReadTrack(JsonElement track)
    {
        ImmutableArray<TimelineClip>.Builder clips = ImmutableArray.CreateBuilder<TimelineClip>();
        double at = 0;
        foreach (JsonElement child in track.GetProperty("children").EnumerateArray())
        {
            string schema = SchemaOf(child);
            if (schema == "Transition")
            {
                // A transition overlaps its two neighbours and takes no time itself.
                continue;
            }

            JsonElement? reference = schema == "Clip" ? ReferenceOf(child) : null;
            if (RangeOf(child, reference) is not { } range)
            {
                throw new FormatException($"'{Short(Text(child, "name"))}' does not say how long it is");
            }

            double length = SecondsOf(range.GetProperty("duration"));
            if (schema == "Clip")
            {
                JsonElement? own = Ours(child);
                double Number(string name, double otherwise) => own is { } o && o.TryGetProperty(name, out JsonElement v) && v.ValueKind == JsonValueKind.Number ? v.GetDouble() : otherwise;
                string? Word(string name) => own is { } o ? Text(o, name) : null;
                string url = reference is { } r ? Text(r, "target_url") ?? "" : "";
                clips.Add(new TimelineClip(
                    Text(child, "name") ?? "", Uri.UnescapeDataString(url), Number("start_seconds", at), Number("duration_seconds", length),
                    range.GetProperty("duration").GetProperty("rate").GetDouble())
                {
                    MediaStartSeconds = SecondsOf(range.GetProperty("start_time")),
                    RatePpm = Number("drift_ppm", 0),
                    Confidence = Number("confidence", 1),
                    Correction = Word("correction"),
                    CorrectionSha256 = Word("correction_sha256"),
                    DriftTrack = Word("drift_track"),
                    States = States(child),
                });
            }

            at += length;
        }

        return new TimelineTrack(Text(track, "name") ?? "", Text(track, "kind") != "Audio", clips.ToImmutable());
    }
}
