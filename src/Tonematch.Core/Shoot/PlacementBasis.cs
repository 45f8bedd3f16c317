namespace Tonematch.Shoot;

/// <summary>What a clip's place was decided from.</summary>
public enum PlacementBasis
{
    /// <summary>It is the one all others are placed against.</summary>
    Reference,

    /// <summary>Meetings with other clips: by sound, light or timecode.</summary>
    Meetings,

    /// <summary>The device's own clock, which other clips of it set right.</summary>
    DeviceClock,

    /// <summary>Nothing: it has no place.</summary>
    None,
}
