namespace Tonematch.Formats.Clf;

/// <summary>The styles of a Log node (SMPTE ST 2136-1).</summary>
public enum ClfLogStyle
{
    /// <summary>The logarithm to base 10.</summary>
    Log10,

    /// <summary>10 to the power of x.</summary>
    AntiLog10,

    /// <summary>The logarithm to base 2.</summary>
    Log2,

    /// <summary>2 to the power of x.</summary>
    AntiLog2,

    /// <summary>A logarithm with slope and offset on both sides.</summary>
    LinToLog,

    /// <summary>The inverse of <see cref="LinToLog"/>.</summary>
    LogToLin,

    /// <summary><see cref="LinToLog"/> with a straight line below a break.</summary>
    CameraLinToLog,

    /// <summary>The inverse of <see cref="CameraLinToLog"/>.</summary>
    CameraLogToLin,
}
