using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.Json;
using Tonematch.Formats.Timelines;
using Tonematch.Sync.Sound;
using Tonematch.Testing;
using Tonematch.Testing.Sounds;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>One evening of sound for all tests, put on one clock once: two cameras and a recorder without pictures.</summary>
public sealed class ShootFixture : IAsyncLifetime
{
    private readonly TempFolder _folder = new();

    /// <summary>What was made.</summary>
    internal MadeEvening Evening { get; private set; } = null!;

    /// <summary>What the program said when it put the clips on one clock.</summary>
    internal ProgramRun Sync { get; private set; } = null!;

    public async ValueTask InitializeAsync()
    {
        // One clip of A, a recording of B that was split, two files of the recorder C of which the second only meets B.
        Evening = MadeEvening.Of(110, [new("A", 2, 70), new("B", 8, 50), new("B", 50, 105), new("C", 15, 45), new("C", 75, 100)], 11);
        await Task.WhenAll(Enumerable.Range(0, Evening.Clips.Count).Select(i => Task.Run(() => Make(i))));
        File.WriteAllText(PathOf("b", "notes.txt"), "card 2 of 2\n");
        File.Copy(PathOf("b", "B1.mkv"), PathOf("b", "B1 copy.mkv"));
        Sync = await RunAsync("sync", "a", "b", "c", "--out", "places");
    }

    public ValueTask DisposeAsync()
    {
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }

    internal string PathOf(params string[] parts) => _folder.PathOf(parts);

    internal Task<ProgramRun> RunAsync(params string[] arguments) => BuiltProgram.RunInAsync(_folder.FullPath, arguments);

    /// <summary>The file of a clip: the recorder writes sound only.</summary>
    internal static string FileOf(string clip) => clip + (clip[0] == 'C' ? ".wav" : ".mkv");

    private void Make(int i)
    {
        (string name, string camera, MonoSound sound) = (Evening.Clips[i].Name, Evening.Clips[i].Camera.ToLowerInvariant(), Evening.Sounds[i]);
        Directory.CreateDirectory(PathOf(camera));
        string raw = PathOf(name + ".f32");
        File.WriteAllBytes(raw, MemoryMarshal.AsBytes<float>(sound.ToArray()).ToArray());
        string[] heard = ["-f", "f32le", "-ar", sound.SampleRate.ToString(CultureInfo.InvariantCulture), "-ac", "1", "-i", raw];
        string seconds = sound.DurationSeconds.ToString("0.######", CultureInfo.InvariantCulture);
        ExternalTool.Ffmpeg().Run(camera == "c"
            ? ["-v", "error", "-y", .. heard, "-c:a", "pcm_s16le", PathOf(camera, FileOf(name))]
            : [
                "-v", "error", "-y", "-f", "lavfi", "-i", $"testsrc=s=96x64:r=25:d={seconds}", .. heard,
                "-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p", "-c:a", "pcm_s16le", PathOf(camera, FileOf(name)),
            ]);
    }
}

/// <summary>Whole cameras: folders of clips made from one evening of sound.</summary>
public sealed class ShootTests(ShootFixture shoot) : IClassFixture<ShootFixture>
{
    [Fact]
    public async Task Sync_ThreeFolders_PutsAllClipsOnOneClockAndWritesWhereTheyLie()
    {
        shoot.Sync.Ended(0).Prints("Places on the clock of a, hours:minutes:seconds:frames at 25 frames a second", "5 of 5 clips of 3 cameras are on one clock").Says("notes.txt", "is a copy of");
        using StreamReader text = new(shoot.PathOf("places", "timeline.otio"));
        Timeline timeline = OtioFormat.Read(text, "timeline.otio");
        TimelineClip[] clips = [.. timeline.Tracks.SelectMany(t => t.Clips)];
        double zero = clips.Single(c => c.Name == "A1.mkv").StartSeconds;
        Assert.All(shoot.Evening.Clips, (c, i) => Assert.Equal(shoot.Evening.Starts[i], clips.Single(t => t.Name == ShootFixture.FileOf(c.Name)).StartSeconds - zero, 1 / 60.0));

        // A recorder's files lie at their sample, not at the nearest frame of the pictures.
        double second = AtInFile(timeline.Tracks[2].Name, "C2.wav");
        Assert.Equal(clips.Single(c => c.Name == "C2.wav").StartSeconds, second, 0.001);
        Assert.Equal([true, true, false], timeline.Tracks.Select(t => t.HasPictures));
        Assert.Contains("B1.mkv", File.ReadAllText(shoot.PathOf("places", "b.edl")), StringComparison.Ordinal);
        Assert.Contains("goes on from B1.mkv", File.ReadAllText(shoot.PathOf("places", "placement.txt")), StringComparison.Ordinal);
        (await shoot.RunAsync("sync", "a", "b", "c", "--out", "places")).Ended(3).Says("already");
    }

    [Fact]
    public async Task Render_PlannedJobsOfACamera_AreAlignedAndDoneOnce()
    {
        await PlanAsync("one");
        (await shoot.RunAsync("render", "--job", "0", "one.json")).Ended(0);
        (await shoot.RunAsync("render", "--job", "1", "one.json")).Ended(0);
        (await shoot.RunAsync("render", "--job", "1", "one.json")).Ended(0).Prints("done before");
        (await shoot.RunAsync("render", "--job", "2", "one.json")).Ended(2).Says("there is no job 2");
        AreAligned("one");

        // Cut off behind our back: done anew.
        string result = shoot.PathOf("one", "B1-matched.mkv");
        using (FileStream file = new(result, FileMode.Open))
        {
            file.SetLength(1000);
        }

        (await shoot.RunAsync("render", "--job", "0", "one.json")).Ended(0);
        AreAligned("one");

        // Another clip of that name never replaces it, and its mark stays.
        Directory.CreateDirectory(shoot.PathOf("other"));
        File.Copy(shoot.PathOf("a", "A1.mkv"), shoot.PathOf("other", "B1.mkv"), overwrite: true);
        string mark = File.ReadAllText(result + ".done");
        (await shoot.RunAsync("render", "other", "--correction", "one.cube", "--out", "one")).Ended(3).Says("is the result of another clip", "into a folder of its own", "1 of 1 clips was not rendered: B1.mkv.");
        Assert.Equal(mark, File.ReadAllText(result + ".done"));
        (await shoot.RunAsync("render", "--job", "0", "one.json")).Ended(0).Prints("done before");

        // What fails while it renders leaves nothing, not even a mark.
        await PlanAsync("failed");
        (await shoot.RunAsync("render", "--job", "0", "failed.json", "--codec", "prores")).Ended(3).Says(".mov files only");
        Assert.Empty(Directory.GetFiles(shoot.PathOf("failed")));
    }

    [Fact]
    public async Task Render_OfWholeCamerasThatCannotBe_SaysWhatWouldHelp()
    {
        (await shoot.RunAsync("render", "b", "--timeline", "places/timeline.otio", "--out", "x")).Ended(3).Says("No correction is known for", "B1.mkv");
        (await shoot.RunAsync("render", "a", "--timeline", "places/timeline.otio", "--out", "x")).Ended(3).Says("of the first camera, whose colours are right", "--aligned");
        (await shoot.RunAsync("render", "b", "--timeline", "places/timeline.otio", "--sound-from", "c", "--out", "x")).Ended(3).Says("add --aligned");
        (await shoot.RunAsync("render", "b", "--timeline", "places/timeline.otio", "--out", "b")).Ended(3).Says("is the camera's own folder");
        (await shoot.RunAsync("sync", "a", "b", "--json")).Ended(2).Says("--json is for single clips");
        (await shoot.RunAsync("render", "a", "--timeline", "places/timeline.otio", "--aligned", "--out", "first", "--plan", "first.json")).Ended(0).Prints("1 job in", "N being 0");

        // ProRes needs a file type of its own.
        (await shoot.RunAsync("render", "b", "--timeline", "places/timeline.otio", "--correction", "places/none.cube", "--codec", "prores", "--out", "x", "--plan", "prores.json")).Ended(0);
        Assert.Contains("B1-matched.mov", File.ReadAllText(shoot.PathOf("prores.json")), StringComparison.Ordinal);
    }

    // GNU parallel is the scheduler: two at a time, in any order; what a job that fails leaves is seen in its log.
    [Fact]
    public async Task Render_PlannedJobsUnderGnuParallel_AreAllDone()
    {
        ExternalTool parallel = ExternalTool.RequireProgram("parallel");
        await PlanAsync("two");
        parallel.Run(["-j2", "--joblog", shoot.PathOf("two.log"), BuiltProgram.FullPath, "render", "--job", "{}", shoot.PathOf("two.json"), ":::", "0", "1"]);
        Assert.Equal(["0", "0"], File.ReadAllLines(shoot.PathOf("two.log")).Skip(1).Select(l => l.Split('\t')[6]));
        AreAligned("two");
    }

    [Fact]
    public async Task Sync_FoldersThatCannotBeUsed_AreNamed()
    {
        Directory.CreateDirectory(shoot.PathOf("none"));
        Directory.CreateDirectory(shoot.PathOf("text"));
        File.WriteAllText(shoot.PathOf("text", "a.mp4"), "this is no clip\n");
        (await shoot.RunAsync("sync", "none", "text")).Ended(3).Says("'none' is empty");
        Directory.CreateDirectory(shoot.PathOf("card", "DCIM"));
        File.Copy(shoot.PathOf("text", "a.mp4"), shoot.PathOf("card", "DCIM", "a.mp4"), overwrite: true);
        (await shoot.RunAsync("sync", "card", "b")).Ended(3).Says("Camera 'card' has no usable clip");
        (await shoot.RunAsync("sync", "b", "nosuch/")).Ended(3).Says("Camera 'nosuch' has no usable clip");
        (await shoot.RunAsync("sync", "text", "nosuch.mp4")).Ended(3).Says("has no usable clip", "text file");
        (await shoot.RunAsync("sync", "c", "b")).Ended(3).Says("'c' holds only sound");
        (await shoot.RunAsync("sync", "--camera", "phone=", "text")).Ended(3).Says("NAME=FILE");
        (await shoot.RunAsync("sync", "text", "--camera", "text=a.mp4")).Ended(3).Says("Two cameras are called 'text'");
        (await shoot.RunAsync("match", "text", "--out", "out")).Ended(2).Says("camera B");
    }

    // Where a reader that adds up the items of a track finds a clip.
    private double AtInFile(string track, string clip)
    {
        using JsonDocument json = JsonDocument.Parse(File.ReadAllText(shoot.PathOf("places", "timeline.otio")));
        JsonElement items = json.RootElement.GetProperty("tracks").GetProperty("children").EnumerateArray().Single(t => t.GetProperty("name").GetString() == track).GetProperty("children");
        return items.EnumerateArray().TakeWhile(i => i.GetProperty("name").GetString() != clip).Sum(i =>
        {
            JsonElement duration = i.GetProperty("source_range").GetProperty("duration");
            return duration.GetProperty("value").GetDouble() / duration.GetProperty("rate").GetDouble();
        });
    }

    // The recorder's sound goes first, so it is read for every job.
    private async Task PlanAsync(string name)
    {
        shoot.Sync.Ended(0);
        File.WriteAllText(shoot.PathOf(name + ".cube"), "LUT_3D_SIZE 2\n0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1 1 1\n");
        string[] plan = ["render", "b", "--timeline", "places/timeline.otio", "--correction", name + ".cube", "--aligned", "--sound-from", "c", "--out", name, "--plan", name + ".json"];
        (await shoot.RunAsync(plan)).Ended(0).Prints("2 jobs");
    }

    // FFmpeg counts: as many frames and as much sound in both, both from 0 on.
    private void AreAligned(string folder)
    {
        string[] names = ["B1", "B2"];
        string[] ends = [.. names.Select(n =>
        {
            JsonElement clip = JsonDocument.Parse(ExternalTool.RequireProgram("ffprobe").Run(
                ["-v", "error", "-show_entries", "stream=codec_type,nb_read_frames,start_time:format=duration", "-count_frames", "-of", "json", shoot.PathOf(folder, n + "-matched.mkv")])).RootElement;
            JsonElement[] streams = [.. clip.GetProperty("streams").EnumerateArray()];
            Assert.Equal(2, streams.Count(s => s.GetProperty("codec_type").GetString() == "audio"));
            Assert.All(streams, s => Assert.Equal(0, double.Parse(s.GetProperty("start_time").GetString()!, CultureInfo.InvariantCulture), 6));
            return $"{streams.First(s => s.GetProperty("codec_type").GetString() == "video").GetProperty("nb_read_frames")} {clip.GetProperty("format").GetProperty("duration")}";
        })];
        Assert.Equal(ends[0], ends[1]);
    }
}
