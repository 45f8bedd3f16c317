namespace Tonematch.Sync;

/// <summary>The evidence for an offset.</summary>
public enum SyncMethod
{
    /// <summary>Both sound tracks.</summary>
    Sound,

    /// <summary>Changes of light and motion in both pictures.</summary>
    Light,

    /// <summary>Equal timecodes.</summary>
    Timecode,

    /// <summary>Given by the user.</summary>
    Given,
}
