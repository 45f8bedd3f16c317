using System.Diagnostics;
using System.Globalization;
using Tonematch.Bench.Real;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Words;
using Tonematch.Media.Clips;
using Tonematch.Media.Reading;
using Tonematch.Pictures;
using Tonematch.Testing;

namespace Tonematch.Bench.Encodings;

/// <summary>
/// Every pair of encodings a camera records in. FFmpeg films one photograph from two places: camera A, and camera B with
/// another sensor. The truth is what camera A records at camera B's place.
/// </summary>
internal static class EncodingsBench
{
    private const int FramesASecond = 5;
    private const int Seconds = 3;

    // Scored at this size, so that what is compared are colours and not grain or the blocks of the compression.
    private const int ScoredSide = 160;

    private sealed record Recording(string Name, string Zscale, string PixelFormat, string Tags, string[] Codec);

    private static readonly Recording[] s_recordings =
    [
        new("bt709 8", "zscale=t=709:m=709:r=limited", "yuv420p", FfmpegSpelling.TagsBt709, ["-c:v", "libx264"]),
        new("bt709 10", "zscale=t=709:m=709:r=limited", "yuv420p10le", FfmpegSpelling.TagsBt709, ["-c:v", "libx264"]),
        Hdr("hlg 8", "arib-std-b67", "yuv420p"),
        Hdr("hlg 10", "arib-std-b67", "yuv420p10le"),
        Hdr("pq 8", "smpte2084", "yuv420p"),
        Hdr("pq 10", "smpte2084", "yuv420p10le"),
    ];

    // Light of 1 is the photograph's white, 203 cd/m2 ([BT.2408]); HLG by its display light, as zscale takes it.
    private static Recording Hdr(string name, string transfer, string pixelFormat) => new(
        name, $"zscale=npl=203:p=2020:t={transfer}:m=2020_ncl:r=limited", pixelFormat, FfmpegSpelling.Tags("bt2020nc", "bt2020", transfer), ["-c:v", "libx265", "-x265-params", "log-level=error"]);

    /// <summary>Option: the names of recordings, as primaries and secondaries; all without.</summary>
    public static int Run(string[] args)
    {
        if (SharedData.Find("photos/fence-left.png") is not { } left || SharedData.Find("photos/fence-right.png") is not { } right)
        {
            Console.Error.WriteLine("The shared photographs are not there: shared/testdata beside the checkout holds them.");
            return 2;
        }

        Recording[] some = [.. s_recordings.Where(r => args.Length == 0 || args.Contains(r.Name, StringComparer.Ordinal))];
        string folder = Directory.CreateTempSubdirectory("tonematch-encodings-").FullName;
        try
        {
            foreach (Recording recording in some)
            {
                Film(left, "", recording, PathOf(folder, "a", recording));
                Film(right, "colorchannelmixer=rr=0.66:rg=0.05:gr=0.03:gg=0.68:gb=0.02:bg=0.04:bb=0.58,", recording, PathOf(folder, "b", recording));
                Film(right, "", recording, PathOf(folder, "truth", recording));
            }

            Console.WriteLine("| camera A | camera B | as recorded | corrected | claimed | kind | verdict | s |");
            Console.WriteLine("|---|---|---|---|---|---|---|---|");
            foreach (Recording a in some)
            {
                foreach (Recording b in some)
                {
                    Console.WriteLine($"| {a.Name} | {b.Name} | {MeasureAsync(PathOf(folder, "a", a), PathOf(folder, "b", b), PathOf(folder, "truth", a)).GetAwaiter().GetResult()} |");
                }
            }

            return 0;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static string PathOf(string folder, string what, Recording recording) => Path.Combine(folder, $"{what}-{recording.Name.Replace(' ', '-')}.mkv");

    private static async Task<string> MeasureAsync(string a, string b, string truth)
    {
        Stopwatch clock = Stopwatch.StartNew();
        MatchOutcome outcome;
        try
        {
            outcome = await MatchJob.MatchAsync(new MatchRequest(a, b) { OffsetSeconds = 0 }, new Progress<StageProgress>(), CancellationToken.None);
        }
        catch (NoTrustworthyResultException e)
        {
            return $"| refused: {e.Message} | | | |";
        }

        double taken = clock.Elapsed.TotalSeconds, before = 0, after = 0;
        double[] at = [0.5, 1.5, 2.5];
        Picture[] recorded = await PicturesAsync(b, at), wanted = await PicturesAsync(truth, at);
        SignalEncoding encoding = outcome.Samples.PrimaryEncoding;
        for (int i = 0; i < at.Length; i++)
        {
            before += Mean(wanted[i], recorded[i], encoding, c => c) / at.Length;
            after += Mean(wanted[i], recorded[i], encoding, c => LutInterpolation.Tetrahedral(outcome.Lut, c)) / at.Length;
        }

        return string.Create(CultureInfo.InvariantCulture,
            $"{before:0.00} | {after:0.00} | {outcome.Verdict.Figure.Mean:0.00} | {outcome.Chosen.Candidate.Correction.Kind.Name()} | {VerdictWords.Mark(outcome.Verdict.Kind)} | {taken:0.0}");
    }

    private static async Task<Picture[]> PicturesAsync(string path, double[] at)
    {
        ClipInfo clip = await FfmpegClipReader.Instance.ProbeAsync(path, CancellationToken.None);
        return [.. (await FfmpegClipReader.Instance.GrabAsync(clip, at, ScoredSide, CancellationToken.None)).Select(f => f.Picture)];
    }

    private static double Mean(Picture wanted, Picture recorded, SignalEncoding encoding, Func<CodeRgb, CodeRgb> correct)
    {
        double sum = 0;
        for (int y = 0; y < wanted.Height; y++)
        {
            for (int x = 0; x < wanted.Width; x++)
            {
                sum += RealBench.Difference(encoding, wanted[x, y], correct(recorded[x, y]));
            }
        }

        return sum / (wanted.Width * wanted.Height);
    }

    private static void Film(string photograph, string sensor, Recording recording, string to)
    {
        string graph = "scale=800:450,crop=640:360:x='80+25*sin(2*PI*t/5)':y='45+12*sin(2*PI*t/3)',setparams=color_primaries=bt709:color_trc=iec61966-2-1:colorspace=gbr:range=pc,"
            + $"format=gbrpf32le,zscale=t=linear,{sensor}{recording.Zscale},format={recording.PixelFormat},{recording.Tags}";
        string length = Seconds.ToString(CultureInfo.InvariantCulture), rate = FramesASecond.ToString(CultureInfo.InvariantCulture);
        ExternalTool.Ffmpeg().Run(["-v", "error", "-y", "-loop", "1", "-framerate", rate, "-t", length, "-i", photograph, "-vf", graph, .. recording.Codec, "-preset", "veryfast", "-crf", "10", to]);
    }
}
