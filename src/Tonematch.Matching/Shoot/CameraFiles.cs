using System.Collections.Immutable;
using System.Text.RegularExpressions;

namespace Tonematch.Matching.Shoot;

/// <summary>A camera as the user gave it: a name and its files.</summary>
/// <param name="Name">Unique within the shoot.</param>
/// <param name="Files">At least one path.</param>
public sealed partial record CameraFiles(string Name, ImmutableArray<string> Files)
{
    /// <summary>A folder, a single clip, or 'NAME=FILE,FILE...' as cameras, in the order given.</summary>
    /// <param name="places">Folders and clips; a folder is one camera with all its files. If it holds only folders, as a
    /// copied card does, it is all files in them.</param>
    /// <param name="named">Cameras written as 'NAME=FILE,FILE...'.</param>
    /// <exception cref="UnusableInputException">A folder is empty or missing, a camera has no files, or two cameras have the same name.</exception>
    public static ImmutableArray<CameraFiles> Read(IEnumerable<string> places, IEnumerable<string> named)
    {
        ArgumentNullException.ThrowIfNull(places);
        ArgumentNullException.ThrowIfNull(named);
        List<CameraFiles> cameras = [];
        foreach (string place in places)
        {
            if (Directory.Exists(place))
            {
                string full = Path.TrimEndingDirectorySeparator(Path.GetFullPath(place));
                string[] files = FilesIn(place);
                cameras.Add(files.Length > 0
                    ? new CameraFiles(Path.GetFileName(full) is { Length: > 0 } n ? n : "camera", [.. files])
                    : throw new UnusableInputException($"The folder '{place}' is empty. Copy the camera's clips into it, or leave it out."));
            }
            else
            {
                string name = Path.GetFileNameWithoutExtension(Path.TrimEndingDirectorySeparator(place));
                cameras.Add(new CameraFiles(name.Length > 0 ? name : place, [place]));
            }
        }

        foreach (string text in named)
        {
            int at = text.IndexOf('=', StringComparison.Ordinal);
            string[] files = at > 0 ? text[(at + 1)..].Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries) : [];
            cameras.Add(files.Length > 0
                ? new CameraFiles(text[..at].Trim(), [.. files])
                : throw new UnusableInputException($"'{text}' does not name a camera. Write NAME=FILE,FILE, for example --camera phone=a.mp4,b.mp4."));
        }

        foreach (IGrouping<string, CameraFiles> same in cameras.GroupBy(c => c.Name, StringComparer.OrdinalIgnoreCase))
        {
            if (same.Count() > 1)
            {
                throw new UnusableInputException($"Two cameras are called '{same.Key}'. Give one of them another name with --camera NAME=FILE,FILE.");
            }
        }

        return [.. cameras];
    }

    [GeneratedRegex("[0-9]+", RegexOptions.CultureInvariant)]
    private static partial Regex Digits();

    // Sorted by name, with numbers by value: clip 2 before clip 10.
    private static string[] FilesIn(string folder)
    {
        try
        {
            string[] own = InOrder(Directory.EnumerateFiles(folder));
            return own.Length > 0 ? own : [.. InOrder(Directory.EnumerateDirectories(folder)).SelectMany(FilesIn)];
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException($"The folder '{folder}' cannot be read: {e.Message}", e);
        }

        static string[] InOrder(IEnumerable<string> paths) =>
            [.. paths.Where(f => !Path.GetFileName(f).StartsWith('.')).OrderBy(f => Digits().Replace(Path.GetFileName(f), m => m.Value.PadLeft(20, '0')), StringComparer.OrdinalIgnoreCase)];
    }
}
