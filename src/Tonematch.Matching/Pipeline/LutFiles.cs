using Tonematch.Formats;
using Tonematch.Media.Files;

namespace Tonematch.Matching;

/// <summary>Reads LUT files that users give.</summary>
public static class LutFiles
{
    // 129 nodes a side with long numbers are about 90 MB.
    private const long LargestBytes = 200_000_000;

    /// <summary>A .cube file.</summary>
    /// <exception cref="UnusableInputException">It cannot be read, or is malformed: with the line.</exception>
    public static CubeFile Read(string path) =>
        CubeFormat.Read(new StringReader(TextInput.Read(path, "LUT", LargestBytes)), path);
}
