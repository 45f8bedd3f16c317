namespace Tonematch.Sync.Light;

/// <summary>Whether the pictures confirm an offset.</summary>
public enum PictureVerdict
{
    /// <summary>Too little changes in both pictures to decide.</summary>
    Undecided,

    /// <summary>The pictures' own offset is within a frame and a half of it.</summary>
    Agrees,

    /// <summary>The pictures clearly show a different offset.</summary>
    Disagrees,
}
