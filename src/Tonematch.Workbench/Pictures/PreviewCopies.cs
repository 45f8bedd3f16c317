using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Tonematch.Media.Clips;
using Tonematch.Media.Rendering;

namespace Tonematch.Workbench.Pictures;

/// <summary>
/// Small copies of clips that a browser cannot play, or not with the right colours; used for playback only.
/// </summary>
/// <param name="folder">The folder in which they are kept between starts.</param>
internal sealed class PreviewCopies(string folder)
{
    private const int Side = 640;

    /// <summary>The copy's path, whether it exists or not. A changed clip has a different one.</summary>
    public string PathOf(ClipInfo clip)
    {
        FileInfo file = new(clip.Path);
        string identity = string.Create(CultureInfo.InvariantCulture, $"{clip.Path}\n{file.Length}\n{file.LastWriteTimeUtc.Ticks}\n{Side}");
        return Path.Combine(folder, Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(identity)))[..24] + ".mp4");
    }

    /// <summary>Whether the copy exists.</summary>
    public bool Has(ClipInfo clip) => File.Exists(PathOf(clip));

    /// <summary>Makes the copy.</summary>
    public async Task MakeAsync(ClipInfo clip, IProgress<RenderProgress> progress, CancellationToken cancel)
    {
        if (Has(clip))
        {
            return;
        }

        try
        {
            Directory.CreateDirectory(folder);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException($"The folder for small copies cannot be made: {e.Message}", e);
        }

        await PreviewClip.RenderAsync(clip, PathOf(clip), Side, progress, cancel);
    }
}
