using System.Collections.Immutable;

namespace Tonematch.Formats.Timelines;

/// <summary>All clips of a shoot on the first camera's clock, to be written for an editor.</summary>
/// <param name="Name">Its title.</param>
/// <param name="FramesPerSecond">The first camera's rate, above 0.</param>
/// <param name="StartSeconds">The first camera's timecode where the timeline begins, seconds since midnight; 0 without one.</param>
/// <param name="IsDropFrame">Timecodes are counted with dropped numbers (SMPTE ST 12-1): at 29.97 and 59.94 only.</param>
/// <param name="Tracks">The first camera first: the bottom layer.</param>
public sealed record Timeline(string Name, double FramesPerSecond, double StartSeconds, bool IsDropFrame, ImmutableArray<TimelineTrack> Tracks);
