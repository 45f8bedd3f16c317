using System.Collections.Concurrent;
using System.Globalization;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Frames;
using Tonematch.Pictures;

namespace Tonematch.Workbench.Files;

/// <summary>
/// The clips in the roots: a description and a small picture of each. Each is probed once, and again when the file has
/// changed.
/// </summary>
/// <param name="roots">The places that may be opened.</param>
/// <param name="outFolder">The output folder, whose files are not offered as clips.</param>
internal sealed class ClipShelf(ClipRoots roots, string outFolder) : IDisposable
{
    private const int ThumbnailSide = 320;

    private readonly ConcurrentDictionary<(string Path, long Size, long Ticks), Lazy<Task<ClipInfo>>> _infos = new();
    private readonly ConcurrentDictionary<(string Path, long Size, long Ticks), Lazy<Task<byte[]>>> _thumbnails = new();

    // FFprobe takes a fraction of a second of one core: run a few at a time.
    private readonly SemaphoreSlim _probes = new(Environment.ProcessorCount);

    /// <inheritdoc/>
    public void Dispose() => _probes.Dispose();

    /// <summary>The ids in order of name.</summary>
    public IReadOnlyList<string> Ids => roots.List(outFolder);

    /// <summary>The file of an id.</summary>
    /// <exception cref="UnusableInputException">It is no longer among the clips.</exception>
    public string PathOf(string id) => roots.PathOf(id) ?? throw new UnusableInputException($"The clip {NameOf(id)} is not there any more. Put it back, or choose another.");

    /// <summary>The path of an id, whether the file exists or not: decisions about a clip outlive it.</summary>
    /// <exception cref="UnusableInputException">It cannot be a clip in these folders.</exception>
    public string PlaceOf(string id) => roots.PlaceOf(id) ?? throw new UnusableInputException($"The clip {NameOf(id)} is not in the folders that were opened.");

    /// <summary>The id of a file in the roots, whether it exists or not; null for any other.</summary>
    public string? IdOf(string path) => roots.IdOf(path);

    /// <summary>A clip's display name.</summary>
    public static string NameOf(string id) => id[(id.LastIndexOf('/') + 1)..];

    /// <summary>The properties of a clip.</summary>
    /// <exception cref="UnusableInputException">It is not a usable clip; the message says why.</exception>
    public async Task<ClipInfo> InfoAsync(string id, CancellationToken cancel)
    {
        string path = PathOf(id);
        try
        {
            return await OnceAsync(_infos, path, () => ProbeAsync(path), cancel);
        }
        catch (UnusableInputException e)
        {
            throw new UnusableInputException(WithoutPath(e.Message, path), e);
        }
    }

    /// <summary>A small JPEG from the middle of the clip.</summary>
    public async Task<byte[]> ThumbnailAsync(string id, CancellationToken cancel)
    {
        string path = PathOf(id);
        ClipInfo clip = await InfoAsync(id, cancel);
        return await OnceAsync(_thumbnails, path, () => DrawAsync(clip), cancel);
    }

    /// <summary>Identifies a file's content by size and date; all zero if the file is missing.</summary>
    public static (string Path, long Size, long Ticks) Stamp(string path)
    {
        FileInfo file = new(path);
        return (path, file.Exists ? file.Length : 0, file.Exists ? file.LastWriteTimeUtc.Ticks : 0);
    }

    /// <summary>A clip's properties, one per line.</summary>
    public static IEnumerable<string> Facts(ClipInfo clip)
    {
        yield return string.Create(CultureInfo.InvariantCulture, $"{clip.Width} × {clip.Height}{(clip.Height > clip.Width ? ", upright" : "")}, {clip.BitDepth} bit");
        if (!clip.IsStillImage)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{Length(clip.DurationSeconds)} at {clip.FrameRate.Value:0.##} frames per second{(clip.IsVariableRate ? ", not constant" : "")}");
        }

        yield return $"{clip.Encoding.Title}{(clip.IsHdr ? ", high dynamic range" : "")}";
        if (!clip.IsStillImage)
        {
            yield return clip.AudioTracks.IsEmpty ? "no sound" : clip.AudioTracks.Length == 1 ? "with sound" : $"{clip.AudioTracks.Length} sound tracks";
        }

        if (clip.Timecode is { } code)
        {
            yield return $"begins at {code}";
        }
    }

    /// <summary>A duration in hours, minutes and seconds as people write it.</summary>
    public static string Length(double seconds)
    {
        TimeSpan t = TimeSpan.FromSeconds(Math.Round(seconds));
        return t.TotalHours >= 1 ? string.Create(CultureInfo.InvariantCulture, $"{(int)t.TotalHours} h {t.Minutes} min")
            : t.TotalMinutes >= 1 ? string.Create(CultureInfo.InvariantCulture, $"{t.Minutes} min {t.Seconds} s")
            : string.Create(CultureInfo.InvariantCulture, $"{seconds:0.#} s");
    }

    /// <summary>
    /// A sentence of the program with the file's name instead of its path, which the page must not see.
    /// </summary>
    public static string WithoutPath(string sentence, string path) => sentence.Replace(path, Path.GetFileName(path), StringComparison.Ordinal);

    private async Task<ClipInfo> ProbeAsync(string path)
    {
        await _probes.WaitAsync();
        try
        {
            return await ClipProbe.ProbeAsync(path, CancellationToken.None);
        }
        finally
        {
            _probes.Release();
        }
    }

    private async Task<byte[]> DrawAsync(ClipInfo clip)
    {
        await _probes.WaitAsync();
        try
        {
            IReadOnlyList<GrabbedFrame> frames = await FrameReader.GrabAsync(clip, [clip.DurationSeconds / 2], ThumbnailSide);
            return PngFile.ToJpegBytes(PictureScale.ToSmall(frames[0].Picture, ThumbnailSide), 82);
        }
        finally
        {
            _probes.Release();
        }
    }

    // A failure is not cached: FFmpeg or the drive may work again at the next request.
    private static async Task<T> OnceAsync<T>(
        ConcurrentDictionary<(string Path, long Size, long Ticks), Lazy<Task<T>>> kept, string path, Func<Task<T>> make, CancellationToken cancel)
    {
        (string Path, long Size, long Ticks) stamp = Stamp(path);
        Lazy<Task<T>> work = kept.GetOrAdd(stamp, _ => new(make));
        try
        {
            return await work.Value.WaitAsync(cancel);
        }
        catch when (work.Value.IsFaulted)
        {
            kept.TryRemove(KeyValuePair.Create(stamp, work));
            throw;
        }
    }
}
