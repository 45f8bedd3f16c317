using System.Collections.Concurrent;
using System.Globalization;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Frames;
using Tonematch.Pictures;

namespace Tonematch.Workbench.Files;

/// <summary>The clips in the roots: what they are, in plain words, and a small picture of each. Looked at once, and again when the file has changed.</summary>
/// <param name="roots">What may be opened.</param>
/// <param name="outFolder">What the workbench writes is not offered as a clip.</param>
internal sealed class ClipShelf(ClipRoots roots, string outFolder) : IDisposable
{
    private const int ThumbnailSide = 320;

    private readonly ConcurrentDictionary<(string Path, long Size, long Ticks), Lazy<Task<ClipInfo>>> _infos = new();
    private readonly ConcurrentDictionary<(string Path, long Size, long Ticks), Lazy<Task<byte[]>>> _thumbnails = new();

    // FFprobe costs a fraction of a second of a core: a few at a time.
    private readonly SemaphoreSlim _probes = new(Environment.ProcessorCount);

    /// <inheritdoc/>
    public void Dispose() => _probes.Dispose();

    /// <summary>The ids in order of name.</summary>
    public IReadOnlyList<string> Ids => roots.List(outFolder);

    /// <summary>The file of an id.</summary>
    /// <exception cref="UnusableInputException">It is not among the clips any more.</exception>
    public string PathOf(string id) => roots.PathOf(id) ?? throw new UnusableInputException($"The clip {NameOf(id)} is not there any more. Put it back, or choose another.");

    /// <summary>The place of an id, whether the file is there now or not: what was decided about a clip outlives it.</summary>
    /// <exception cref="UnusableInputException">It can be no clip of these folders.</exception>
    public string PlaceOf(string id) => roots.PlaceOf(id) ?? throw new UnusableInputException($"The clip {NameOf(id)} is not in the folders that were opened.");

    /// <summary>The id of a file of the roots, whether it is there now or not; null for any other.</summary>
    public string? IdOf(string path) => roots.IdOf(path);

    /// <summary>A clip's name for people.</summary>
    public static string NameOf(string id) => id[(id.LastIndexOf('/') + 1)..];

    /// <summary>What a clip is.</summary>
    /// <exception cref="UnusableInputException">It is no clip; the sentence says why.</exception>
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

    /// <summary>A small JPEG of the clip's middle.</summary>
    public async Task<byte[]> ThumbnailAsync(string id, CancellationToken cancel)
    {
        string path = PathOf(id);
        ClipInfo clip = await InfoAsync(id, cancel);
        return await OnceAsync(_thumbnails, path, () => DrawAsync(clip), cancel);
    }

    /// <summary>What tells whether a file is still the one it was; all zero when it is not there.</summary>
    public static (string Path, long Size, long Ticks) Stamp(string path)
    {
        FileInfo file = new(path);
        return (path, file.Exists ? file.Length : 0, file.Exists ? file.LastWriteTimeUtc.Ticks : 0);
    }

    /// <summary>What a clip is, a line each.</summary>
    public static IEnumerable<string> Facts(ClipInfo clip)
    {
        yield return string.Create(CultureInfo.InvariantCulture, $"{clip.Width} × {clip.Height}{(clip.Height > clip.Width ? ", upright" : "")}, {clip.BitDepth} bit");
        if (!clip.IsStillImage)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{Length(clip.DurationSeconds)} at {clip.FrameRate.Value:0.##} frames a second{(clip.IsVariableRate ? ", not constant" : "")}");
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

    /// <summary>Hours, minutes and seconds as people say them.</summary>
    public static string Length(double seconds)
    {
        TimeSpan t = TimeSpan.FromSeconds(Math.Round(seconds));
        return t.TotalHours >= 1 ? string.Create(CultureInfo.InvariantCulture, $"{(int)t.TotalHours} h {t.Minutes} min")
            : t.TotalMinutes >= 1 ? string.Create(CultureInfo.InvariantCulture, $"{t.Minutes} min {t.Seconds} s")
            : string.Create(CultureInfo.InvariantCulture, $"{seconds:0.#} s");
    }

    /// <summary>A sentence of the program with the file's name in place of its path, which is no business of a page.</summary>
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

    // A failure is not kept: the next one who asks may find FFmpeg well again, or the drive.
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
