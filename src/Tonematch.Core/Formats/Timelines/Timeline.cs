using System.Collections.Immutable;

namespace Tonematch.Formats.Timelines;

/// <summary>All clips of a shoot on the first camera's clock, to be written for an editor.</summary>
/// <param name="Name">Its title.</param>
/// <param name="FramesPerSecond">The first camera's rate, above 0.</param>
/// <param name="StartSeconds">The first camera's timecode at the beginning of the timeline, seconds since midnight; 0 without one.</param>
/// <param name="IsDropFrame">Whether timecodes drop frame numbers (SMPTE ST 12-1); at 29.97 and 59.94 only.</param>
/// <param name="Tracks">One track per camera; the first camera is the first one and the bottom layer.</param>
public sealed record Timeline(string Name, double FramesPerSecond, double StartSeconds, bool IsDropFrame, ImmutableArray<TimelineTrack> Tracks);
