
namespace Tonematch.Sync.Sound;

/// <summary>The travel time of sound.</summary>
public static class SoundTravel
{
    /// <summary>Speed of sound in dry air at 20 degrees Celsius, metres per second (ISO 9613-1:1993: 343.2).</summary>
    public const double MetresPerSecond = 343.2;

    /// <summary>Travel time from a source to a microphone, seconds.</summary>
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
    /// The difference between the offset of the sounds and that of the pictures: how much later the secondary's
    /// microphone hears the event than the primary's, seconds. An unknown distance counts as 0.
    /// </summary>
    public static double OffsetSeconds(double? primaryMetres, double? secondaryMetres) =>
        Seconds(secondaryMetres ?? 0) - Seconds(primaryMetres ?? 0);
}
