namespace Tonematch.Media.Clips;

/// <summary>What the file says about its colours, in FFmpeg's words; null where it says nothing.</summary>
internal sealed record ColourTags(string? Range, string? Matrix, string? Primaries, string? Transfer, string? ChromaLocation);
