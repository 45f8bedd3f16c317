using System.Runtime.InteropServices;
using System.Text.Json;
using Tonematch.Formats.Timelines;
using Tonematch.Sync.Sound;
using Tonematch.Testing;
using Tonematch.Testing.Sounds;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>Whole cameras: folders of clips made from one evening of sound.</summary>
public sealed class ShootTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Sync_ThreeFolders_PutsAllClipsOnOneClockAndWritesWhereTheyLie()
    {
        MadeEvening made = Evening();
        File.WriteAllText(_folder.PathOf("b", "notes.txt"), "card 2 of 2\n");
        File.Copy(_folder.PathOf("b", "B1.mkv"), _folder.PathOf("b", "B1 copy.mkv"));
        ProgramRun run = (await Run("sync", "a", "b", "c", "--out", "places")).Ended(0);
        run.Prints("5 of 5 clips of 3 cameras are on one clock").Says("notes.txt", "is a copy of");
        using StreamReader text = new(_folder.PathOf("places", "timeline.otio"));
        Timeline timeline = OtioFormat.Read(text, "timeline.otio");
        TimelineClip[] clips = [.. timeline.Tracks.SelectMany(t => t.Clips)];
        double zero = clips.Single(c => c.Name == "A1.mkv").StartSeconds;
        Assert.All(made.Clips, (c, i) => Assert.Equal(made.Starts[i], clips.Single(t => t.Name == c.Name + ".mkv").StartSeconds - zero, 1 / 60.0));
        Assert.Contains("B1.mkv", File.ReadAllText(_folder.PathOf("places", "b.edl")), StringComparison.Ordinal);
        Assert.Contains("goes on from B1.mkv", File.ReadAllText(_folder.PathOf("places", "placement.txt")), StringComparison.Ordinal);
        (await Run("sync", "a", "b", "c", "--out", "places")).Ended(3).Says("already");
    }

    [Fact]
    public async Task Render_PlannedJobsOfACamera_AreAlignedAndDoneOnce()
    {
        Evening();
        await Run("sync", "a", "b", "--out", "places");
        File.WriteAllText(_folder.PathOf("same.cube"), "LUT_3D_SIZE 2\n0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1 1 1\n");
        string[] plan = ["render", "b", "--timeline", "places/timeline.otio", "--correction", "same.cube", "--aligned", "--sound-from", "a", "--out", "rendered", "--plan", "jobs.json"];
        (await Run(plan)).Ended(0).Prints("2 jobs");
        (await Run("render", "--job", "0", "jobs.json")).Ended(0);
        (await Run("render", "--job", "1", "jobs.json")).Ended(0);
        (await Run("render", "--job", "1", "jobs.json")).Ended(0).Prints("done before");
        (await Run("render", "--job", "2", "jobs.json")).Ended(2).Says("there is no job 2");
        string[] names = ["B1", "B2"];
        double[][] ends = [.. names.Select(n =>
        {
            JsonElement clip = JsonDocument.Parse(ExternalTool.RequireProgram("ffprobe").Run(
                ["-v", "error", "-show_entries", "stream=codec_type,nb_read_frames:format=duration", "-count_frames", "-of", "json", _folder.PathOf("rendered", n + "-matched.mkv")])).RootElement;
            JsonElement[] streams = [.. clip.GetProperty("streams").EnumerateArray()];
            Assert.Equal(2, streams.Count(s => s.GetProperty("codec_type").GetString() == "audio"));
            return new[]
            {
                double.Parse(streams.First(s => s.GetProperty("codec_type").GetString() == "video").GetProperty("nb_read_frames").GetString()!, System.Globalization.CultureInfo.InvariantCulture),
                double.Parse(clip.GetProperty("format").GetProperty("duration").GetString()!, System.Globalization.CultureInfo.InvariantCulture),
            };
        })];
        Assert.Equal(ends[0], ends[1]);
    }

    [Fact]
    public async Task Sync_FoldersThatCannotBeUsed_AreNamed()
    {
        Directory.CreateDirectory(_folder.PathOf("none"));
        Directory.CreateDirectory(_folder.PathOf("text"));
        File.WriteAllText(_folder.PathOf("text", "a.mp4"), "this is no clip\n");
        (await Run("sync", "none", "text")).Ended(3).Says("'none' is empty");
        (await Run("sync", "text", "nosuch.mp4")).Ended(3).Says("has no clip that can be used", "text file");
        (await Run("sync", "--camera", "phone=", "text")).Ended(3).Says("NAME=FILE");
        (await Run("sync", "text", "--camera", "text=a.mp4")).Ended(3).Says("Two cameras are called 'text'");
        (await Run("match", "text", "--out", "out")).Ended(2).Says("camera B");
    }

    private Task<ProgramRun> Run(params string[] arguments) => BuiltProgram.RunInAsync(_folder.FullPath, arguments);

    // One clip of A, a recording of B that was split, two clips of C of which the second only meets B.
    private MadeEvening Evening()
    {
        MadeEvening made = MadeEvening.Of(110, [new("A", 2, 70), new("B", 8, 50), new("B", 50, 105), new("C", 15, 45), new("C", 75, 100)], 11);
        for (int i = 0; i < made.Clips.Count; i++)
        {
            (string camera, MonoSound sound) = (made.Clips[i].Camera.ToLowerInvariant(), made.Sounds[i]);
            Directory.CreateDirectory(_folder.PathOf(camera));
            string raw = _folder.PathOf("sound.f32");
            File.WriteAllBytes(raw, MemoryMarshal.AsBytes<float>(sound.ToArray()).ToArray());
            string seconds = sound.DurationSeconds.ToString("0.######", System.Globalization.CultureInfo.InvariantCulture);
            ExternalTool.Ffmpeg().Run(
                [
                    "-v", "error", "-y", "-f", "lavfi", "-i", $"testsrc=s=96x64:r=25:d={seconds}", "-f", "f32le", "-ar", sound.SampleRate.ToString(System.Globalization.CultureInfo.InvariantCulture), "-ac", "1", "-i", raw,
                    "-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p", "-c:a", "pcm_s16le", _folder.PathOf(camera, made.Clips[i].Name + ".mkv"),
                ]);
        }

        return made;
    }
}
