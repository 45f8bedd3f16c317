using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Checking;
using Tonematch.Numerics;
using Tonematch.Samples;

namespace Tonematch.Matching.Words;

/// <summary>
/// Sentences about changes during a recording that no single correction can follow; they come before any other
/// explanation.
/// </summary>
public static class RecordingWords
{
    /// <summary>
    /// An exposure drift of this much or more is visible, in stops (common practice: the smallest usual camera step is
    /// a third).
    /// </summary>
    public const double SeenStops = 1.0 / 3;

    // Fewer instants than this cannot distinguish drift from chance.
    private const int FewestInstants = 6;

    /// <summary>
    /// Range of the exposure drift between the cameras between jumps, in stops: from the darkest to the lightest of the
    /// middle four fifths of the instants; 0 if too few were examined.
    /// </summary>
    public static double WanderingStops(CheckResult? overTime)
    {
        if (overTime is null || overTime.OverTime.Length < FewestInstants)
        {
            return 0;
        }

        double[] off =
        [
            .. overTime.OverTime
                .GroupBy(i => overTime.Steps.Count(s => s.PrimarySeconds <= i.PrimarySeconds))
                .SelectMany(state =>
                {
                    double middle = Median.Of(state.Select(i => i.ExposureStops));
                    return state.Select(i => i.ExposureStops - middle);
                })
                .Order(),
        ];
        int cut = off.Length / 10;
        return off[^(1 + cut)] - off[cut];
    }

    /// <summary>The sentences, most important first.</summary>
    /// <param name="overTime">The match over the recording; null if it was not examined.</param>
    /// <param name="samples">The samples the correction was fitted to.</param>
    public static ImmutableArray<string> Warnings(CheckResult? overTime, SampleSet samples)
    {
        ArgumentNullException.ThrowIfNull(samples);
        ImmutableArray<string>.Builder said = ImmutableArray.CreateBuilder<string>();
        if (WanderingStops(overTime) is >= SeenStops and double stops)
        {
            said.Add(string.Create(CultureInfo.InvariantCulture,
                $"The exposure of one camera wanders by {stops:0.0} stops against the other during the recording, as automatic exposure does. One correction cannot follow that: differences that come and go are due to this, not to the colours."));
        }

        if (overTime is { Steps: { IsEmpty: false } steps } && FittedBetween(steps, samples) is { } where)
        {
            said.Add(where);
        }

        return said.ToImmutable();
    }

    // All colours come from between two neighbouring jumps: the other light was not sampled.
    private static string? FittedBetween(ImmutableArray<MatchStep> steps, SampleSet samples)
    {
        double[] times = [.. samples.Pairs.Where(p => p.Origin is not null).Select(p => p.Origin!.PrimarySeconds)];
        if (times.Length == 0 || times.Select(t => steps.Count(s => s.PrimarySeconds <= t)).Distinct().Count() > 1)
        {
            return null;
        }

        double change = steps.MinBy(s => Math.Abs(s.PrimarySeconds - times[0]))!.PrimarySeconds;
        return string.Create(CultureInfo.InvariantCulture,
            $"All colours were compared {(times[0] < change ? "before" : "after")} {change:0.0} s, in one light, and there the light or a camera changes. Look at the pictures {(times[0] < change ? "after" : "before")} it; --at names instants to compare in both.");
    }
}
