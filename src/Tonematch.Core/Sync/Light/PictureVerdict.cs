namespace Tonematch.Sync.Light;

/// <summary>What the pictures say about an offset.</summary>
public enum PictureVerdict
{
    /// <summary>Too little changes in both pictures to tell.</summary>
    Undecided,

    /// <summary>The pictures' own offset is within a frame of it.</summary>
    Agrees,

    /// <summary>The pictures have a clear offset of their own, more than a frame away.</summary>
    Disagrees,
}
