namespace Tonematch.Media.Clips;

/// <summary>The file's colour tags in FFmpeg's words; null where untagged.</summary>
internal sealed record ColourTags(string? Range, string? Matrix, string? Primaries, string? Transfer, string? ChromaLocation);
