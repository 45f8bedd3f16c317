using Tonematch.Colour;

namespace Tonematch.Media.Clips;

/// <summary>What is used: tags where there are tags, else the rule's assumption.</summary>
internal sealed record ColourDescription(
    SignalRange Range, CodePoint Matrix, CodePoint? Primaries, CodePoint? Transfer, ChromaLocation ChromaLocation, SignalEncoding Encoding);
