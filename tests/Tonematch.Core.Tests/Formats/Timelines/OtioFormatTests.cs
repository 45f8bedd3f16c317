using System.Text.Json;
using CsCheck;
using Tonematch.Formats.Timelines;
using Xunit;

namespace Tonematch.Core.Tests.Formats.Timelines;

public class OtioFormatTests
{
    // OpenTimelineIO documentation, 'Serialized data, schema only fields' (Academy Software Foundation): the fields of each schema.
    private static readonly Dictionary<string, string[]> s_fields = new()
    {
        ["Timeline.1"] = ["global_start_time", "metadata", "name", "tracks"],
        ["Stack.1"] = ["children", "effects", "enabled", "markers", "metadata", "name", "source_range"],
        ["Track.1"] = ["children", "effects", "enabled", "kind", "markers", "metadata", "name", "source_range"],
        ["Gap.1"] = ["effects", "enabled", "markers", "metadata", "name", "source_range"],
        ["Clip.2"] = ["active_media_reference_key", "effects", "enabled", "markers", "media_references", "metadata", "name", "source_range"],
        ["ExternalReference.1"] = ["available_image_bounds", "available_range", "metadata", "name", "target_url"],
        ["Marker.2"] = ["color", "comment", "marked_range", "metadata", "name"],
        ["LinearTimeWarp.1"] = ["effect_name", "metadata", "name", "time_scalar"],
        ["TimeRange.1"] = ["duration", "start_time"],
        ["RationalTime.1"] = ["rate", "value"],
    };

    private static readonly Gen<Timeline> s_timelines =
        from rate in Gen.OneOf(24.0, 25, 30000 / 1001.0, 50, 60000 / 1001.0)
        from tracks in Gen.Int[0, 1_000_000].Array[1, 4]
        select new Timeline("evening", rate, 3600, false, [.. tracks.Select((seed, t) => Track(seed, $"camera {t}"))]);

    [Fact]
    public void Write_EveryObject_HasExactlyTheFieldsOfItsSchema() => s_timelines.Sample(timeline =>
    {
        using JsonDocument json = JsonDocument.Parse(Written(timeline));
        Assert.Equal("Timeline.1", json.RootElement.GetProperty("OTIO_SCHEMA").GetString());
        Assert.True(HoldsTo(json.RootElement) > 5);
    }, iter: 50);

    [Fact]
    public void Write_ReadBack_GivesTheSameTimeline() => s_timelines.Sample(timeline =>
    {
        Timeline back = OtioFormat.Read(new StringReader(Written(timeline)), "timeline.otio");
        Assert.Equal(timeline.FramesPerSecond, back.FramesPerSecond);
        Assert.Equal(3600, back.StartSeconds, 1);
        Assert.Equal(timeline.Tracks.Length, back.Tracks.Length);
        Assert.All(timeline.Tracks, (track, t) =>
        {
            Assert.Equal((track.Name, track.HasPictures), (back.Tracks[t].Name, back.Tracks[t].HasPictures));
            Assert.Equal(
                track.Clips.Select(c => c with { MediaStartSeconds = 0 }), back.Tracks[t].Clips.Select(c => c with { MediaStartSeconds = 0 }));
            Assert.All(track.Clips, (c, k) => Assert.Equal(c.MediaStartSeconds, back.Tracks[t].Clips[k].MediaStartSeconds, 0.5 / c.FramesPerSecond));
        });
    }, iter: 100);

    [Fact]
    public void Write_ClipWithStatesOfTheLight_MarksThemAndReadsThemBack()
    {
        TimelineState[] states = [new(0, 12.5, "light 1", "b/b-light-1.cube", "ab"), new(12.5, 40, "light 2", "b/b-light-2.cube", "cd")];
        Timeline timeline = new("evening", 25, 3600, false, [new TimelineTrack("B", true, [new TimelineClip("b1", "b1.mp4", 3, 40, 50) { MediaStartSeconds = 100, States = [.. states] }])]);
        using JsonDocument json = JsonDocument.Parse(Written(timeline));
        Assert.True(HoldsTo(json.RootElement) > 5);
        JsonElement clip = json.RootElement.GetProperty("tracks").GetProperty("children")[0].GetProperty("children")[1];
        JsonElement range = clip.GetProperty("markers")[1].GetProperty("marked_range");
        Assert.Equal((5625.0, 1375.0), (range.GetProperty("start_time").GetProperty("value").GetDouble(), range.GetProperty("duration").GetProperty("value").GetDouble()));
        Assert.Equal(states, OtioFormat.Read(new StringReader(Written(timeline)), "t.otio").Tracks[0].Clips[0].States);
    }

    [Fact]
    public void Write_HundredClips_TheLastBeginsWithinAFrameOfItsPlace()
    {
        // By the gaps and lengths alone, as a program without our metadata reads it.
        Timeline timeline = new("evening", 25, 0, false, [new TimelineTrack("B", true, [.. Enumerable.Range(0, 100).Select(k => new TimelineClip($"b{k}", $"b{k}.mp4", k * 13.337, 11.01, 30000 / 1001.0))])]);
        string plain = Written(timeline).Replace("\"tonematch\"", "\"other\"", StringComparison.Ordinal);
        Assert.All(OtioFormat.Read(new StringReader(plain), "t.otio").Tracks[0].Clips, (c, k) => Assert.Equal(k * 13.337, c.StartSeconds, 0.021));
    }

    [Fact]
    public void Write_NamesWithSpacesAndSigns_ArePercentEncodedInTheUrlAlone()
    {
        Timeline timeline = new("evening", 25, 0, false, [new TimelineTrack("B", true, [new TimelineClip("a #1 ü.mp4", "cam b/a #1 ü.mp4", 0, 2, 25)])]);
        string text = Written(timeline);
        Assert.Contains("\"cam%20b/a%20%231%20%C3%BC.mp4\"", text, StringComparison.Ordinal);
        Assert.Equal("cam b/a #1 ü.mp4", OtioFormat.Read(new StringReader(text), "t.otio").Tracks[0].Clips[0].Url);
    }

    [Fact]
    public void Read_OlderClipsAndTransitions_AreTaken()
    {
        // Clip.1 held one media reference; a transition lies over its neighbours.
        const string text = """
            {"OTIO_SCHEMA":"Timeline.1","name":"t","global_start_time":null,"metadata":{},"tracks":{"OTIO_SCHEMA":"Stack.1","children":[
            {"OTIO_SCHEMA":"Track.1","name":"V","kind":"Video","children":[
            {"OTIO_SCHEMA":"Gap.1","source_range":{"OTIO_SCHEMA":"TimeRange.1","start_time":{"OTIO_SCHEMA":"RationalTime.1","rate":24,"value":0},"duration":{"OTIO_SCHEMA":"RationalTime.1","rate":24,"value":48}}},
            {"OTIO_SCHEMA":"Transition.1","in_offset":{"rate":24,"value":1},"out_offset":{"rate":24,"value":1}},
            {"OTIO_SCHEMA":"Clip.1","name":"x","source_range":null,"media_reference":{"OTIO_SCHEMA":"ExternalReference.1","target_url":"x.mov","available_range":{"OTIO_SCHEMA":"TimeRange.1","start_time":{"rate":24,"value":86400},"duration":{"rate":24,"value":24}}}}]}]}}
            """;
        TimelineClip clip = Assert.Single(OtioFormat.Read(new StringReader(text), "t.otio").Tracks[0].Clips);
        Assert.Equal((2.0, 1.0, 3600.0, "x.mov"), (clip.StartSeconds, clip.DurationSeconds, clip.MediaStartSeconds, clip.Url));
    }

    [Theory]
    [InlineData("")]
    [InlineData("[]")]
    [InlineData("{}")]
    [InlineData("{\"OTIO_SCHEMA\":\"Clip.2\"}")]
    [InlineData("{\"OTIO_SCHEMA\":\"Timeline.1\",\"tracks\":{}}")]
    [InlineData("{\"OTIO_SCHEMA\":\"Timeline.1\",\"tracks\":{\"children\":[{\"OTIO_SCHEMA\":\"Track.1\",\"children\":[{\"OTIO_SCHEMA\":\"Gap.1\"}]}]}}")]
    public void Read_WhatIsNoTimeline_IsRefused(string text) =>
        Assert.Throws<UnusableInputException>(() => OtioFormat.Read(new StringReader(text), "t.otio"));

    // Numbers and names that would only be noticed where a clip is rendered, hours later.
    [Theory]
    [InlineData("\"drift_ppm\": 40", "\"drift_ppm\": 1e999")]
    [InlineData("\"start_seconds\": 3", "\"start_seconds\": -1e12")]
    [InlineData("\"rate\": 25", "\"rate\": 1e999")]
    [InlineData("b/one.mov", "b/\\u0000one.mov")]
    [InlineData("b/one.mov", "b/%00one.mov")]
    public void Read_NumbersAndNamesThatNoClipHas_AreRefusedInAShortSentence(string text, string broken)
    {
        string whole = Written(new Timeline("t", 25, 0, false, [new TimelineTrack("b", true, [new TimelineClip(new string('n', 5000), "b/one.mov", 3, 10, 25) { RatePpm = 40 }])]));
        Assert.Contains(text, whole, StringComparison.Ordinal);
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => OtioFormat.Read(new StringReader(whole.Replace(text, broken, StringComparison.Ordinal)), "t.otio"));
        Assert.InRange(e.Message.Length, 1, 300);
    }

    private static int HoldsTo(JsonElement e)
    {
        int seen = 0;
        if (e.ValueKind == JsonValueKind.Object)
        {
            if (e.TryGetProperty("OTIO_SCHEMA", out JsonElement schema))
            {
                Assert.Equal(s_fields[schema.GetString()!], e.EnumerateObject().Select(p => p.Name).Where(n => n != "OTIO_SCHEMA").Order(StringComparer.Ordinal));
                seen++;
            }

            seen += e.EnumerateObject().Sum(p => HoldsTo(p.Value));
        }
        else if (e.ValueKind == JsonValueKind.Array)
        {
            seen += e.EnumerateArray().Sum(HoldsTo);
        }

        return seen;
    }

    private static string Written(Timeline timeline)
    {
        StringWriter text = new();
        OtioFormat.Write(text, timeline);
        return text.ToString();
    }

    private static TimelineTrack Track(int seed, string name)
    {
        Random random = new(seed);
        List<TimelineClip> clips = [];
        double at = 0;
        for (int k = random.Next(1, 5); k > 0; k--)
        {
            at += 20 * random.NextDouble();
            double length = 1 + (300 * random.NextDouble());
            clips.Add(new TimelineClip($"clip {k}", $"{name}/clip {k}.mp4", at, length, random.Next(2) == 0 ? 25 : 30000 / 1001.0)
            {
                MediaStartSeconds = random.Next(2) * 3600,
                RatePpm = 60 * ((2 * random.NextDouble()) - 1),
                Confidence = random.NextDouble(),
                Correction = random.Next(2) == 0 ? "b.cube" : null,
                CorrectionSha256 = null,
                DriftTrack = random.Next(2) == 0 ? "drift.csv" : null,
            });
            at += length + 0.1;
        }

        return new TimelineTrack(name, random.Next(3) > 0, [.. clips]);
    }
}
