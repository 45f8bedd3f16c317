
namespace Tonematch.Sync.Sound;

/// <summary>How long sound is under way.</summary>
public static class SoundTravel
{
    /// <summary>Speed of sound in dry air at 20 degrees Celsius, metres a second (ISO 9613-1:1993: 343.2).</summary>
    public const double MetresPerSecond = 343.2;

    /// <summary>From a source to a microphone, seconds.</summary>
    /// <param name="distanceMetres">Distance, 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The distance is below 0 or not finite.</exception>
    /// <example>11.44 m take 1/30 s: a frame.</example>
    public static double Seconds(double distanceMetres)
    {
        if (!(distanceMetres >= 0) || double.IsInfinity(distanceMetres))
        {
            throw new ArgumentOutOfRangeException(nameof(distanceMetres), distanceMetres, "A distance is 0 m or more.");
        }

        return distanceMetres / MetresPerSecond;
    }

    /// <summary>
    /// By how much the offset of the sounds exceeds the offset of the pictures: the secondary's microphone hears the
    /// event later than the primary's by this, seconds. A distance that is not known counts as none.
    /// </summary>
    public static double OffsetSeconds(double? primaryMetres, double? secondaryMetres) =>
        Seconds(secondaryMetres ?? 0) - Seconds(primaryMetres ?? 0);
}
