namespace Tonematch.Shoot;

/// <summary>The evidence for a clip's place.</summary>
public enum PlacementBasis
{
    /// <summary>It is the reference for all others.</summary>
    Reference,

    /// <summary>Meetings with other clips: by sound, light or timecode.</summary>
    Meetings,

    /// <summary>The device's own clock, calibrated by other clips of the device.</summary>
    DeviceClock,

    /// <summary>None: it has no place.</summary>
    None,
}
