using System.Globalization;
using Tonematch.Checking;
using Tonematch.Matching.Outcome;

namespace Tonematch.Reporting.Plots;

/// <summary>How large the remaining differences are, and when.</summary>
internal static class DifferencePlots
{
    /// <summary>The distribution of the samples' Delta E, before and after.</summary>
    public static Html Histogram(ReportModel model)
    {
        double largest = model.Pairs.Max(p => Math.Max(p.DeltaEBefore, p.DeltaEAfter));
        double width = PlotFrame.RoundStep(Math.Max(largest, 1) / 22);
        int bins = Math.Max(4, (int)Math.Ceiling((largest * 1.0001) / width));
        double[] before = Shares(model, bins, width, p => p.DeltaEBefore), after = Shares(model, bins, width, p => p.DeltaEAfter);
        double top = Math.Max(5, Math.Max(before.Max(), after.Max()) * 1.08);
        PlotFrame frame = new(250, (0, bins * width), (0, top), "Delta E (CIEDE2000)", "% of the colours");
        Html bars = Html.Each(Enumerable.Range(0, bins).Where(i => after[i] > 0), i =>
            Html.Of($"<path class=\"bar\" d=\"M{frame.X(i * width) + 1:0.##} {frame.Bottom}V{frame.Y(after[i]):0.##}H{frame.X((i + 1) * width) - 1:0.##}V{frame.Bottom}z\"/>"));
        string outline = string.Concat(Enumerable.Range(0, bins).Select(i =>
            string.Create(CultureInfo.InvariantCulture, $"V{frame.Y(before[i]):0.##}H{frame.X((i + 1) * width):0.##}")));
        Html line = Html.Of($"<path class=\"outline\" d=\"M{frame.X(0)} {frame.Bottom}{outline}V{frame.Bottom}\"/>");
        return Figure.Of(
            "How large the differences are",
            FormattableString.Invariant($"As recorded half of the colours differ by more than {model.Before.Median:F1}; corrected half differ by less than {model.After.Median:F1}, and 95 % by less than {model.After.Percentile95:F1}."),
            frame.Svg("spread", "Histogram of Delta E before and after",
                FormattableString.Invariant($"Mean {model.Before.Mean:F2} as recorded, {model.After.Mean:F2} corrected; largest {model.Before.Max:F2} and {model.After.Max:F2}."),
                Html.Join([bars, line])),
            new("<li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"outline\" d=\"M1 11V3H11V11\"/></svg> as recorded</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"bar\" d=\"M2 11V4H10V11z\"/></svg> corrected</li>"));
    }

    /// <summary>The match over the recording.</summary>
    public static Html OverTime(CheckResult check)
    {
        InstantFigures worst = check.OverTime.MaxBy(i => i.DeltaE.Mean)!;
        string reading = FormattableString.Invariant($"Worst at {worst.PrimarySeconds:F1} s with a mean of {worst.DeltaE.Mean:F1}; ")
            + (check.Steps.Length == 0 ? "no step in exposure or white balance was found." : FormattableString.Invariant($"{check.Steps.Length} step{(check.Steps.Length == 1 ? "" : "s")} in exposure or white balance, numbered."));
        return Figure.Of(
            "Delta E over time", reading,
            TimePlots.DeltaE(check),
            new("<li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"line\" d=\"M1 6H11\"/></svg> mean</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"band\" d=\"M1 2H11V10H1z\"/></svg> 95 % of the colours stay below</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"ideal\" d=\"M1 6H11\"/></svg> asked for</li>"),
            "plot");
    }

    /// <summary>
    /// The remaining difference over time with one constant correction and with one that follows the drift, and the
    /// drift itself.
    /// </summary>
    public static Html Drift(DriftOutcome drift) => Html.Join(
    [
        Figure.Of(
            "What following the changes gains",
            FormattableString.Invariant($"Mean Delta E {drift.Gain.ConstantMean:F1} with the best constant correction, {drift.Gain.FollowingMean:F1} with one that follows."),
            TimePlots.DriftGain(drift.Gain),
            new("<li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"ideal\" d=\"M1 6H11\"/></svg> constant</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"line\" d=\"M1 6H11\"/></svg> following</li>"),
            "plot"),
        Figure.Of(
            "How camera B changes",
            FormattableString.Invariant($"Exposure moves by {drift.Track.RangeStops:F2} stop, white balance by {drift.Track.RangeMired:F0} mired (10 can just be seen). Above zero: too light, too warm."),
            TimePlots.DriftCourse(drift.Track),
            new("<li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"line\" d=\"M1 6H11\"/></svg> exposure, stops</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"red\" d=\"M1 6H11\"/></svg> white balance, hundreds of mired</li>"),
            "plot"),
    ]);

    /// <summary>Exposure and white balance over the recording.</summary>
    public static Html Light(CheckResult check)
    {
        double largest = check.OverTime.Max(i => Math.Max(Math.Abs(i.ExposureStops), Math.Max(Math.Abs(i.RedGreenStops), Math.Abs(i.BlueGreenStops))));
        return Figure.Of(
            "Camera B's light against camera A's",
            FormattableString.Invariant($"At zero both agree; the largest difference is {largest:F2} stop. A jump here means that a camera changed its exposure or white balance by itself."),
            TimePlots.Light(check, height: 250),
            new("<li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"line\" d=\"M1 6H11\"/></svg> exposure</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"red\" d=\"M1 6H11\"/></svg> red against green</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"blue\" d=\"M1 6H11\"/></svg> blue against green</li>"));
    }

    private static double[] Shares(ReportModel model, int bins, double width, Func<ReportPair, double> of)
    {
        double[] shares = new double[bins];
        double total = model.Pairs.Sum(p => p.Weight);
        foreach (ReportPair p in model.Pairs)
        {
            shares[Math.Clamp((int)(of(p) / width), 0, bins - 1)] += 100 * p.Weight / total;
        }

        return shares;
    }
}
