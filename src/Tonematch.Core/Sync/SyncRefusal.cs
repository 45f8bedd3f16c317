namespace Tonematch.Sync;

/// <summary>Why no offset is given.</summary>
public enum SyncRefusal
{
    /// <summary>A recording is too short to be compared.</summary>
    TooShort,

    /// <summary>A recording holds no sound, or its picture never changes.</summary>
    Silent,

    /// <summary>No offset stands out from chance: probably not recordings of one event.</summary>
    Unrelated,

    /// <summary>Two or more offsets fit about equally well, as in a repeated rhythm.</summary>
    Repeating,

    /// <summary>A clip has no timecode, or the timecodes do not overlap.</summary>
    NoCommonTimecode,
}
