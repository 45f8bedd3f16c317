using Tonematch.Colour;

namespace Tonematch.Media.Clips;

/// <summary>The colour properties in use: tags where present, otherwise the rules' assumptions.</summary>
internal sealed record ColourDescription(
    SignalRange Range, CodePoint Matrix, CodePoint? Primaries, CodePoint? Transfer, ChromaLocation ChromaLocation, SignalEncoding Encoding);
