using System.Text.Json;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>
/// The job the program is made for, with nothing said but the two clips: other places, pan and zoom, other rate, size
/// and rotation, sound from two rooms.
/// </summary>
public sealed class WholeSceneTests : IDisposable
{
    private static readonly string[] s_doubts = ["under different light", "Light and motion in the pictures put", "Of camera A:", "Of camera B:", "no objects in common"];

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Match_OneEventFilmedByTwoCameras_NeedsNoOptionAndIsRight()
    {
        FilmedAloe scene = new();
        string[] clips = await Task.WhenAll(Task.Run(() => scene.Wide(_folder)), Task.Run(() => scene.Phone(_folder)));

        (await BuiltProgram.RunAsync("match", clips[0], clips[1], "--out", _folder.PathOf("out"))).Ended(0);

        JsonElement match = JsonDocument.Parse(await File.ReadAllTextAsync(_folder.PathOf("out", "match.json"), TestContext.Current.CancellationToken)).RootElement;

        // Half a frame of the faster clip.
        Assert.Equal(FilmedAloe.OffsetSeconds, match.GetProperty("sync").GetProperty("offset_seconds").GetDouble(), 0.5 * 1001 / 30000);
        Assert.Equal("overlap", match.GetProperty("method").GetString());
        Assert.Equal(90, Math.Abs(match.GetProperty("secondary").GetProperty("rotation_degrees").GetInt32()) % 180);

        // Of the clips nothing is doubted: not the offset, not the light, not the tags. The metres to the microphones are
        // truly not known, and what is said of the choice of the kind or of odd pairs is no doubt of the clips.
        Assert.DoesNotContain(match.GetProperty("warnings").EnumerateArray().Select(w => w.GetString()!), w => s_doubts.Any(d => w.Contains(d, StringComparison.OrdinalIgnoreCase)));
        Assert.True(match.GetProperty("sync").GetProperty("confidence").GetDouble() > 0.95);
        Assert.DoesNotContain("two sensors", match.GetProperty("difference").GetProperty("summary").GetString(), StringComparison.Ordinal);

        // At places that truly correspond: little more than the two photographs differ by themselves.
        IReadOnlyList<TruePlace> places = scene.TruePlaces();
        Assert.InRange(places.Count, 2000, 20000);
        double photographs = Recomputed.Mean(places.Select(p => (p.Wide, p.Photograph)));
        double before = Recomputed.Mean(places.Select(p => (p.Wide, p.Phone)));
        double after = Recomputed.Mean(places.Select(p => (p.Wide, p.Phone)), _folder.PathOf("out", "correction.cube"));
        string figures = $"{places.Count} places: the photographs {photographs:0.00}, before {before:0.00}, after {after:0.00}";
        TestContext.Current.TestOutputHelper?.WriteLine(figures);
        Assert.True(after < photographs + 0.5 && after < before / 5, figures);
    }
}
