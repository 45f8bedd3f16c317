using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Sync.Sound;

namespace Tonematch.Reporting.Tests;

/// <summary>A report model with something in every part, made in no time; file names and labels as given.</summary>
internal static class SmallReport
{
    public static ReportModel Model(string name = "close-up.mp4", int pairs = 24)
    {
        Random random = new(3);
        ReportFrame frame = new(1.2, 3.6, Ramp(0), Ramp(0.15f), Ramp(0.02f), "steady: " + name);
        ImmutableArray<ReportPair> all = [.. Enumerable.Range(0, pairs).Select(i => Pair(random, i, name))];
        double[] before = [.. all.Select(p => p.DeltaEBefore)], after = [.. all.Select(p => p.DeltaEAfter)];
        DeltaEStatistics b = DeltaEStatistics.Of(before), a = DeltaEStatistics.Of(after);
        return new ReportModel
        {
            Verdict = new Verdict(VerdictKind.LookFirst, a, VerdictFigure.UnseenColours, [new VerdictReason(VerdictCause.LowCoverage, VerdictKind.LookFirst, 0.4)]),
            Lead = ["A sentence about " + name],
            Kind = "matrix",
            Primary = new ReportClip("wide.mp4", [("Picture", "1920 x 1080")]),
            Secondary = new ReportClip(name, [("Picture", "1280 x 720"), ("Note", name)]) { Assumptions = ["No tags in " + name] },
            Sync = new ReportSync("B begins 2.4 s before A.", [("Offset", "2.4 s")])
            {
                Sound = new ClearMoment(Click(1.0, 1.02), Click(1.0, 1.02), 1.02),
                Frame = frame,
            },
            FirstLook = FirstLook.Of(frame, all, placesHold: true),
            CutTest = new byte[] { 1, 2, 3 },
            Frames = [frame, frame with { PrimarySeconds = 9, SecondarySeconds = 11.4 }],
            Encoding = SignalEncoding.Bt709,
            SecondaryEncoding = SignalEncoding.Srgb,
            SampleSource = "Colours from the chart.",
            Pairs = all,
            Rejected = ImmutableSortedDictionary<string, int>.Empty.Add("clipped", 2),
            NoiseFloorDeltaE = 0.35,
            Before = b,
            After = a,
            CrossValidated = a,
            Tolerance = 3,
            Kinds = [new ReportKind("gains", 3, b, b, null, 0.2, false, false), new ReportKind("matrix", 9, a, a, null, 0.1, true, true)],
            NotFitted = [("lattice", "too few colours for " + name)],
            LutNodes = 33,
            Safety = new LutSafetyReport([new LutFinding(LutProperty.LocalGain, 2.5, 6, "Noise grows 2.5 times at most."), new LutFinding(LutProperty.FoldedShare, 0.1, 0.01, "It folds: " + name)]),
            OverTime = new CheckResult(
                a, ImmutableSortedDictionary<string, DeltaEStatistics>.Empty.Add("skin", a),
                [.. Enumerable.Range(0, 12).Select(i => new InstantFigures(i, i + 2.4, a, 0, 0, 0))],
                [new MatchStep(6, 8.4, 0.4, 0.2, -0.1)], 1.2, 1.0, 3),
            Warnings = ["Mind " + name],
            Next = ["Load the LUT on " + name],
            NextTime = ["Set " + name],
            Curves = [.. Enumerable.Range(0, 17).Select(i => new CodeRgb(i / 15.0, i / 16.0, (i - 1) / 16.0))],
            HowComputed = [("Command", "tonematch match wide.mp4 " + name)],
        };
    }

    private static ReportPair Pair(Random random, int i, string name)
    {
        CodeRgb primary = new(random.NextDouble(), random.NextDouble(), random.NextDouble());
        CodeRgb secondary = new(0.9 * primary.R, 0.85 * primary.G, 0.7 * primary.B), corrected = new(0.99 * primary.R, primary.G, 0.98 * primary.B);
        double DeltaE(CodeRgb c, SignalEncoding e) => DeltaE2000.Between(SignalEncoding.Bt709.ToLab(primary), e.ToLab(c));
        return new ReportPair(
            $"colour-{i}", i == 0 ? name : "", primary, secondary, corrected,
            DeltaE(secondary, SignalEncoding.Srgb), DeltaE(corrected, SignalEncoding.Bt709), 1,
            new SampleOrigin(1.2, 3.6, new SamplePlace((10 + (5 * i)) / 160.0, 40 / 90.0, 8 / 160.0, 8 / 90.0), new SamplePlace((12 + (4 * i)) / 160.0, 50 / 90.0, 8 / 160.0, 8 / 90.0)));
    }

    private static Picture Ramp(float shift)
    {
        const int width = 160, height = 90;
        float[] r = new float[width * height], g = new float[width * height], b = new float[width * height];
        for (int i = 0; i < r.Length; i++)
        {
            (r[i], g[i], b[i]) = ((i % width / 160f) + shift, (i / width / 90f) - shift, 0.5f);
        }

        return new Picture(width, height, r, g, b, SignalEncoding.Bt709);
    }

    private static MonoSound Click(double start, double at)
    {
        float[] samples = new float[2400];
        for (int i = 0; i < samples.Length; i++)
        {
            double t = (i / 48000.0) + start - at;
            samples[i] = t < 0 ? 0 : (float)(Math.Exp(-t * 300) * Math.Sin(t * 9000));
        }

        return new MonoSound(samples, 48000, start);
    }
}
