using System.Diagnostics;
using System.Globalization;
using Tonematch.FramePairs;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Sync;
using Tonematch.Sync.Light;

namespace Tonematch.Bench.Sync;

/// <summary>
/// Whether the pictures confirm an offset: pairs made of real clips (the second cropped, with other contrast and gamma,
/// coded anew, once at another frame rate), claimed right and 1, 3, 10 and 50 frames off, at several places.
/// </summary>
internal static class PicturesBench
{
    private const double StepSeconds = 10;

    private static readonly int[] s_framesOff = [0, 1, 3, 10, 50];

    private delegate Task<IReadOnlyList<LightSample>> Reader(ClipInfo clip, double from);

    public static async Task<int> RunAsync(string[] files)
    {
        (string Name, Reader Read)[] ways =
        [
            ("colour, every frame, 10 s", (c, f) => InColourAsync(c, f, 10)),
            ("luma, every frame, 6 s", (c, f) => LightSeries.ReadAsync(c, f, 6)),
        ];
        string folder = Directory.CreateTempSubdirectory("tonematch-pictures-").FullName;
        int[,,] verdicts = new int[ways.Length, s_framesOff.Length, 3];
        double[] processor = new double[ways.Length];
        try
        {
            foreach (string file in files)
            {
                foreach (string rate in new[] { "", ",fps=source_fps*5/6" })
                {
                    string first = Path.Combine(folder, "a.mp4"), second = Path.Combine(folder, "b.mp4");
                    Make(file, first, "scale=trunc(iw/2)*2:trunc(ih/2)*2", "50", 0);
                    Make(file, second, "crop=trunc(iw*0.35)*2:trunc(ih*0.35)*2,eq=contrast=0.8:gamma=1.3:saturation=0.8" + rate, "30", 2);
                    ClipInfo a = await ClipProbe.ProbeAsync(first, default), b = await ClipProbe.ProbeAsync(second, default);
                    double frame = Math.Max(1 / a.FrameRate.Value, 1 / b.FrameRate.Value);
                    for (double from = 3; from + 10 < a.DurationSeconds; from += StepSeconds)
                    {
                        for (int way = 0; way < ways.Length; way++)
                        {
                            double began = Seconds();
                            IReadOnlyList<LightSample> p = await ways[way].Read(a, from);

                            // Read once, counted each time.
                            processor[way] += s_framesOff.Length * (Seconds() - began);
                            for (int k = 0; k < s_framesOff.Length; k++)
                            {
                                SyncFound claimed = SyncFound.Given(-2 + (s_framesOff[k] / a.FrameRate.Value));
                                double before = Seconds();
                                IReadOnlyList<LightSample> s = await ways[way].Read(b, Math.Max(0, claimed.SecondaryTime(from)));
                                verdicts[way, k, (int)PictureAgreement.Check(claimed, p, s, frame).Verdict]++;
                                processor[way] += Seconds() - before;
                            }
                        }
                    }
                }
            }
        }
        finally
        {
            Directory.Delete(folder, true);
        }

        Console.WriteLine("| way | " + string.Join(" | ", s_framesOff.Select(k => $"{k} frames off: agrees / disagrees / undecided")) + " | processor s a case |");
        Console.WriteLine("|---|" + string.Concat(Enumerable.Repeat("---|", s_framesOff.Length + 1)));
        for (int way = 0; way < ways.Length; way++)
        {
            string Of(int k, PictureVerdict v) => verdicts[way, k, (int)v].ToString(CultureInfo.InvariantCulture);
            int cases = Enumerable.Range(0, s_framesOff.Length).Sum(k => Enumerable.Range(0, 3).Sum(v => verdicts[way, k, v]));
            Console.WriteLine($"| {ways[way].Name} | " + string.Join(" | ", s_framesOff.Select((_, k) => $"{Of(k, PictureVerdict.Agrees)} / {Of(k, PictureVerdict.Disagrees)} / {Of(k, PictureVerdict.Undecided)}"))
                + FormattableString.Invariant($" | {processor[way] / Math.Max(1, cases):0.00} |"));
        }

        return 0;
    }

    private static double Seconds() => Environment.CpuUsage.TotalTime.TotalSeconds + ProcessorTime.OfChildren();

    private static void Make(string from, string to, string filters, string keyframes, double skipSeconds)
    {
        using Process ffmpeg = Process.Start(new ProcessStartInfo("ffmpeg")
        {
            ArgumentList =
            {
                "-v", "error", "-y", "-nostdin", "-i", from, "-ss", skipSeconds.ToString(CultureInfo.InvariantCulture), "-t", "60", "-an",
                "-vf", filters + ",format=yuv420p", "-c:v", "libx264", "-preset", "fast", "-crf", "23", "-g", keyframes, to,
            },
        })!;
        ffmpeg.WaitForExit();
    }

    // As colours are measured: the way before there was one for luma.
    private static async Task<IReadOnlyList<LightSample>> InColourAsync(ClipInfo clip, double from, double seconds)
    {
        List<LightSample> series = [];
        Picture? previous = null;
        await foreach (TimedPicture frame in FrameSequence.ReadAsync(clip, new FrameSequenceOptions { MaxSide = 160, FromSeconds = from, DurationSeconds = seconds }))
        {
            using (frame)
            {
                FrameLook look = FrameLook.Measure(frame.Picture, previous, frame.Seconds);
                series.Add(new LightSample(frame.Seconds, look.MeanLightness, look.Motion ?? 0));
                previous = new Picture(
                    frame.Picture.Width, frame.Picture.Height, frame.Picture.R.ToArray(), frame.Picture.G.ToArray(), frame.Picture.B.ToArray(), frame.Picture.Encoding);
            }
        }

        return series;
    }
}
