using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Numerics;

namespace Tonematch.Samples.Charts;

/// <summary>Makes sample pairs from measured charts.</summary>
public static class ChartPair
{
    /// <summary>Fewer usable patches than this do not support a correction.</summary>
    public const int FewestPatches = 8;

    // Frames whose readings of the same patch differ by more than this had different light and are kept separate.
    private const double SameLightDeltaE = 2;

    /// <summary>
    /// Pairs the patches of the chart as both cameras recorded it at one or more instants. Instants under the same
    /// light are averaged patch by patch (mean CIEDE2000 between them up to 2); others stay separate, in the same
    /// groups. A patch that is unusable in one of the pictures is left out there; one that is unusable at all instants
    /// is counted once, by its most frequent reason. The noise floor is the mean CIEDE2000 between repeated readings of
    /// a patch by the same camera.
    /// </summary>
    /// <param name="pairings">At least one; all of the reference's layout.</param>
    /// <param name="reference">Supplies the patch names; its colours are not used.</param>
    /// <exception cref="ArgumentException">No pairing, or the layouts differ.</exception>
    public static SampleSet Sample(IReadOnlyList<ChartPairing> pairings, ChartReference reference)
    {
        ArgumentNullException.ThrowIfNull(pairings);
        ArgumentNullException.ThrowIfNull(reference);
        if (pairings.Count == 0 || pairings.Any(p => p.Primary.Patches.Length != reference.Layout.Count || p.Secondary.Patches.Length != reference.Layout.Count))
        {
            throw new ArgumentException("At least one pairing is needed, all of the reference's layout.", nameof(pairings));
        }

        SortedDictionary<string, int> rejected = [];
        List<SamplePair>[] patches = [.. Enumerable.Range(0, reference.Layout.Count).Select(i => Readings(pairings, reference, i, rejected))];
        SignalEncoding pe = pairings[0].Primary.Encoding, se = pairings[0].Secondary.Encoding;
        double? floor = NoiseFloor(patches, pe, se, out double apart);
        bool sameLight = apart <= SameLightDeltaE;
        ImmutableArray<SamplePair> pairs =
        [
            .. patches.SelectMany(p => sameLight && p.Count > 1 ? [Average(p)] : p)
                .Select(p => p with { Locality = sameLight ? SampleLocality.Chart : SampleLocality.At(SampleLocality.Chart, p.Origin!.PrimarySeconds) }),
        ];
        int usable = patches.Count(p => p.Count > 0);
        return new SampleSet(pe, se, SamplingMethod.Chart, pairs)
        {
            Rejected = rejected.ToImmutableSortedDictionary(),
            NoiseFloorDeltaE = floor,
            Warnings = Warnings(rejected, usable, reference),
            Refusal = usable >= FewestPatches ? null
                : $"Only {usable} of {reference.Layout.Count} patches of the chart can be used in both pictures. Film the whole chart, evenly lit and not overexposed.",
        };
    }

    /// <summary>
    /// Pairs one camera's chart with its known colours (as the primary's code values), for use when only one clip shows
    /// a chart: the correction then leads to the chart's true colours, not to another camera. Refused if the chart in
    /// the picture is of a different make, or if that cannot be determined.
    /// </summary>
    public static SampleSet AgainstReference(
        ChartMeasurement secondary, ChartReference reference, SignalEncoding primaryEncoding, double secondarySeconds = 0)
    {
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(reference);
        ChartMeasurement truth = secondary with
        {
            Encoding = primaryEncoding,
            Patches = [.. secondary.Patches.Select(p => p with { Colour = reference.CodeOf(p.Index, primaryEncoding), Spread = default, Fault = null })],
        };
        SampleSet set = Sample([new ChartPairing(truth, secondary, secondarySeconds, secondarySeconds)], reference);
        ChartMatch match = ChartRecognition.Compare(secondary, reference);
        return set with
        {
            Refusal = set.Refusal ?? (match.HasKnownColours ? null : match.CanBeJudged
                ? string.Create(CultureInfo.InvariantCulture, $"The chart in the picture does not have the colours of the {reference.Title}: after the best smooth correction they still differ by {match.ResidualDeltaE:0.0} Delta E on average (at most {ChartMatch.LargestResidualDeltaE} for the known one). Name the right chart, or film it with both cameras.")
                : $"Too few patches of the chart are lit and unclipped to decide whether it is the {reference.Title}, so its published colours cannot be the target. Film the whole chart evenly lit, or with both cameras."),
            Warnings = set.Warnings.Insert(0, $"The chart is in one clip only: the correction leads to the chart's published colours ({reference.Title}, {reference.Illuminant}), not to the other camera."),
        };
    }

    private static List<SamplePair> Readings(
        IReadOnlyList<ChartPairing> pairings, ChartReference reference, int index, SortedDictionary<string, int> rejected)
    {
        List<SamplePair> readings = [];
        List<PatchFault> faults = [];
        foreach (ChartPairing pairing in pairings)
        {
            PatchMeasurement p = pairing.Primary.Patches[index], s = pairing.Secondary.Patches[index];
            if ((p.Fault ?? s.Fault) is { } fault)
            {
                faults.Add(fault);
                continue;
            }

            string name = string.Create(CultureInfo.InvariantCulture, $"patch-{index + 1:00}");
            readings.Add(new SamplePair(string.Create(CultureInfo.InvariantCulture, $"{name}@{pairing.PrimarySeconds:0.000}"), name, p.Colour, s.Colour)
            {
                Label = reference.Patches[index].Name,
                PrimarySpread = p.Spread,
                SecondarySpread = s.Spread,
                Origin = new SampleOrigin(pairing.PrimarySeconds, pairing.SecondarySeconds, p.Place, s.Place),
            });
        }

        if (readings.Count == 0)
        {
            string reason = faults.CountBy(f => f).OrderByDescending(f => f.Value).ThenBy(f => f.Key).First().Key.ToString().ToLowerInvariant();
            rejected[reason] = rejected.GetValueOrDefault(reason) + 1;
        }

        return readings;
    }

    // The mean difference between successive readings of a patch, over both cameras; 'apart' is the largest mean over
    // the patches between any reading and the first, which reveals a change of light.
    private static double? NoiseFloor(List<SamplePair>[] patches, SignalEncoding pe, SignalEncoding se, out double apart)
    {
        List<double> repeated = [];
        Dictionary<double, List<double>> fromFirst = [];
        foreach (List<SamplePair> readings in patches)
        {
            for (int i = 1; i < readings.Count; i++)
            {
                foreach ((double step, double whole) in (ReadOnlySpan<(double, double)>)
                    [Steps(readings, i, pe, p => p.Primary), Steps(readings, i, se, p => p.Secondary)])
                {
                    repeated.Add(step);
                    double at = readings[i].Origin!.PrimarySeconds;
                    if (!fromFirst.TryGetValue(at, out List<double>? list))
                    {
                        fromFirst[at] = list = [];
                    }

                    list.Add(whole);
                }
            }
        }

        apart = fromFirst.Count == 0 ? 0 : fromFirst.Values.Max(v => v.Average());
        return repeated.Count == 0 ? null : apart <= SameLightDeltaE ? repeated.Average() : Median.Of(repeated);
    }

    private static (double Step, double Whole) Steps(List<SamplePair> readings, int i, SignalEncoding e, Func<SamplePair, CodeRgb> side)
    {
        Lab now = e.ToLab(side(readings[i]));
        return (DeltaE2000.Between(e.ToLab(side(readings[i - 1])), now), DeltaE2000.Between(e.ToLab(side(readings[0])), now));
    }

    private static SamplePair Average(List<SamplePair> readings) => readings[0] with
    {
        Id = readings[0].Group,
        Primary = Mean(readings, p => p.Primary),
        Secondary = Mean(readings, p => p.Secondary),
        PrimarySpread = Mean(readings, p => p.PrimarySpread),
        SecondarySpread = Mean(readings, p => p.SecondarySpread),
    };

    private static CodeRgb Mean(List<SamplePair> readings, Func<SamplePair, CodeRgb> of) => new(
        readings.Average(p => of(p).R), readings.Average(p => of(p).G), readings.Average(p => of(p).B));

    private static ImmutableArray<string> Warnings(SortedDictionary<string, int> rejected, int usable, ChartReference reference)
    {
        if (rejected.Count == 0)
        {
            return [];
        }

        string reasons = string.Join(", ", rejected.Select(r => string.Create(CultureInfo.InvariantCulture, $"{r.Value} {r.Key}")));
        return [$"{usable} of {reference.Layout.Count} patches of the chart are used; left out: {reasons}."];
    }
}
