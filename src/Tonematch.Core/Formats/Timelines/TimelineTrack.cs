using System.Collections.Immutable;

namespace Tonematch.Formats.Timelines;

/// <summary>One camera's clips, in order of time.</summary>
/// <param name="Name">The camera.</param>
/// <param name="HasPictures">False for a sound recorder.</param>
/// <param name="Clips">Its clips.</param>
public sealed record TimelineTrack(string Name, bool HasPictures, ImmutableArray<TimelineClip> Clips);
