using System.Globalization;

namespace Tonematch.Media.Clips;

/// <summary>A code of Rec. ITU-T H.273 with its name.</summary>
/// <param name="Code">The number in the file.</param>
/// <param name="Name">Its meaning, e.g. 'BT.709'.</param>
public readonly record struct CodePoint(int Code, string Name)
{
    /// <inheritdoc/>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Name} ({Code})");
}
