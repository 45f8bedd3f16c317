namespace Tonematch.Corrections;

/// <summary>One increasing curve per channel.</summary>
/// <param name="R">For red.</param>
/// <param name="G">For green.</param>
/// <param name="B">For blue.</param>
public sealed record ChannelCurves(MonotoneCurve R, MonotoneCurve G, MonotoneCurve B)
{
    /// <summary>The curves that change nothing.</summary>
    public static ChannelCurves Straight { get; } = new(MonotoneCurve.Straight, MonotoneCurve.Straight, MonotoneCurve.Straight);

    internal MonotoneCurve this[int channel] => channel == 0 ? R : channel == 1 ? G : B;

    internal IEnumerable<(string Name, double Value)> Named(string name)
    {
        foreach ((string channel, MonotoneCurve curve) in new[] { ("r", R), ("g", G), ("b", B) })
        {
            yield return ($"{name}.{channel}.start", curve.Start);
            for (int k = 0; k < curve.LogSlopes.Length; k++)
            {
                yield return ($"{name}.{channel}.log-slope.{k}", curve.LogSlopes[k]);
            }
        }
    }
}
