using System.Globalization;
using System.Runtime.InteropServices;
using System.Text;
using Tonematch.Colour;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Demo.Tests;

public sealed class DemoFootageTests(DemoFixture demo)
{
    // One frame, 16 luma and 4 chroma samples a patch: noise of 0.9 and 1.7 codes in luma and 0.6 of it in chroma leaves
    // up to 3 codes in the worst channel of 24 patches before the encoder (measured on the frames themselves).
    private const double WorstPatchCodes = 6, MeanPatchCodes = 2.2;

    [Fact]
    public void WriteAsync_BothClips_AreTaggedBt709LimitedWithTheirOwnRatesAndSound()
    {
        ExternalTool.Ffmpeg();
        ExternalTool ffprobe = ExternalTool.RequireProgram("ffprobe");
        foreach ((string path, string rate, double seconds) in new[] { (demo.Clips.PrimaryPath, "25/1", 15.0), (demo.Clips.SecondaryPath, "30000/1001", 12.6) })
        {
            byte[] seen = ffprobe.Run(["-v", "error", "-show_streams", "-show_format", "-of", "default=noprint_wrappers=1", path]);
            string[] lines = Encoding.UTF8.GetString(seen).Split('\n');
            Assert.Contains("codec_name=h264", lines);
            Assert.Contains("codec_name=aac", lines);
            Assert.Contains("r_frame_rate=" + rate, lines);
            Assert.Contains("avg_frame_rate=" + rate, lines);
            Assert.Contains("width=640", lines);
            foreach (string tag in new[] { "color_range=tv", "color_space=bt709", "color_transfer=bt709", "color_primaries=bt709" })
            {
                Assert.Contains(tag, lines);
            }

            string duration = lines.Last(l => l.StartsWith("duration=", StringComparison.Ordinal))["duration=".Length..];
            Assert.Equal(seconds, double.Parse(duration, CultureInfo.InvariantCulture), 0.15);
        }
    }

    [Fact]
    public void WriteAsync_Folder_HoldsTheTwoClipsAndNothingElse()
    {
        ExternalTool.Ffmpeg();
        string[] names = [.. Directory.GetFiles(Path.GetDirectoryName(demo.Clips.PrimaryPath)!).Select(f => Path.GetFileName(f)).Order(StringComparer.Ordinal)];
        Assert.Equal([DemoFootage.SecondaryName, DemoFootage.PrimaryName], names);
    }

    [Fact]
    public void WriteAsync_Cancelled_LeavesNothingBehind()
    {
        ExternalTool.Ffmpeg();
        using TempFolder folder = new();
        using CancellationTokenSource cancel = new();

        // Progress reports late, from other threads: one may arrive when this test has ended.
        bool ended = false;
        Progress<double> stopSoon = new(_ =>
        {
            lock (folder)
            {
                if (!ended)
                {
                    cancel.Cancel();
                }
            }
        });
        Assert.ThrowsAny<OperationCanceledException>(() =>
            DemoFootage.WriteAsync(folder.FullPath, cancel.Token, stopSoon, height: 180).GetAwaiter().GetResult());
        lock (folder)
        {
            ended = true;
        }

        Assert.Empty(Directory.GetFiles(folder.FullPath));
    }

    [Fact]
    public void Truth_ChartPatches_AreWhatFfmpegDecodesWithinTheNoise()
    {
        ExternalTool ffmpeg = ExternalTool.Ffmpeg();
        DemoTruth truth = demo.Clips.Truth;
        double at = (truth.ChartFromPrimarySeconds + truth.ChartUntilPrimarySeconds) / 2;
        CheckPatches(ffmpeg, demo.Clips.PrimaryPath, at, p => (p.Primary, p.PrimaryCentre));
        CheckPatches(ffmpeg, demo.Clips.SecondaryPath, at + truth.OffsetSeconds, p => (p.Secondary, p.SecondaryCentre));
    }

    [Fact]
    public void Truth_ChartCorners_LieAPatchAwayFromTheCornerPatches()
    {
        ExternalTool.Ffmpeg();
        DemoTruth truth = demo.Clips.Truth;
        (double X, double Y)[] patches = [truth.Patches[0].PrimaryCentre, truth.Patches[5].PrimaryCentre, truth.Patches[23].PrimaryCentre, truth.Patches[18].PrimaryCentre];
        for (int i = 0; i < 4; i++)
        {
            // The wide camera is not turned: the corner is half a patch out, left or right, up or down.
            double dx = truth.PrimaryChartCorners[i].X - patches[i].X, dy = truth.PrimaryChartCorners[i].Y - patches[i].Y;
            Assert.Equal(i is 0 or 3 ? -5.7 : 5.7, dx, 0.2);
            Assert.Equal(i is 0 or 1 ? -5.7 : 5.7, dy, 0.2);
        }
    }

    [Fact]
    public void Truth_Claps_AreHeardAtTheirTimesPlusTheTravelOfSound()
    {
        ExternalTool ffmpeg = ExternalTool.Ffmpeg();
        DemoTruth truth = demo.Clips.Truth;
        float[] primary = Sound(ffmpeg, demo.Clips.PrimaryPath), secondary = Sound(ffmpeg, demo.Clips.SecondaryPath);
        foreach (double clap in truth.ClapPrimarySeconds)
        {
            // 343 m/s at 20 degrees Celsius.
            double a = Onset(primary, clap), b = Onset(secondary, clap + truth.OffsetSeconds);
            Assert.Equal(clap + (truth.PrimaryDistanceMetres / 343), a, 0.0015);
            Assert.Equal(clap + truth.OffsetSeconds + (truth.SecondaryDistanceMetres / 343), b, 0.0015);
            Assert.Equal(truth.SoundOffsetSeconds, b - a, 0.0015);
        }
    }

    [Fact]
    public void Truth_TheTwoCameras_DifferVisiblyButNotWildly()
    {
        ExternalTool.Ffmpeg();
        double mean = demo.Clips.Truth.Patches.Average(p => Colour.DeltaE.DeltaE2000.Between(
            SignalEncoding.Bt709.ToLab(p.Primary), SignalEncoding.Bt709.ToLab(p.Secondary)));
        Assert.InRange(mean, 4, 16);
    }

    private void CheckPatches(ExternalTool ffmpeg, string path, double seconds, Func<DemoPatch, (CodeRgb Value, (double X, double Y) Centre)> side)
    {
        int width = DemoFixture.Width, height = DemoFixture.Height, half = width / 2;
        byte[] frame = ffmpeg.Run(["-v", "error", "-ss", seconds.ToString(CultureInfo.InvariantCulture), "-i", path, "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "yuv420p", "-"]);
        Assert.Equal(width * height * 3 / 2, frame.Length);
        double sum = 0;
        foreach (DemoPatch patch in demo.Clips.Truth.Patches)
        {
            (CodeRgb value, (double x, double y)) = side(patch);
            double luma = 0, cb = 0, cr = 0;
            int cx = (int)x & ~1, cy = (int)y & ~1;
            for (int dy = -2; dy < 2; dy++)
            {
                for (int dx = -2; dx < 2; dx++)
                {
                    luma += frame[((cy + dy) * width) + cx + dx] / 16.0;
                    int chroma = (width * height) + ((cy + dy) / 2 * half) + ((cx + dx) / 2);
                    cb += frame[chroma] / 16.0;
                    cr += frame[chroma + (half * height / 2)] / 16.0;
                }
            }

            // ITU-R BT.709-6 items 3.2 to 3.5, solved for R', G', B'.
            double l = (luma - 16) / 219, b = (cb - 128) / 224, r = (cr - 128) / 224;
            CodeRgb seen = new(l + (1.5748 * r), l - (0.1873 * b) - (0.4681 * r), l + (1.8556 * b));
            double error = 255 * Math.Max(Math.Abs(seen.R - value.R), Math.Max(Math.Abs(seen.G - value.G), Math.Abs(seen.B - value.B)));
            Assert.True(error < WorstPatchCodes, $"{Path.GetFileName(path)}, {patch.Name}: {seen} in place of {value}");
            sum += error;
        }

        Assert.InRange(sum / demo.Clips.Truth.Patches.Length, 0, MeanPatchCodes);
    }

    /// <summary>Mono sound at 48 kHz.</summary>
    private static float[] Sound(ExternalTool ffmpeg, string path) =>
        MemoryMarshal.Cast<byte, float>(ffmpeg.Run(["-v", "error", "-i", path, "-vn", "-ac", "1", "-ar", "48000", "-f", "f32le", "-"])).ToArray();

    /// <summary>When the loudness jumps near a time: the first 0.25 ms whose peak is a third of the loudest nearby.</summary>
    private static double Onset(float[] sound, double near)
    {
        int from = (int)((near - 0.02) * 48000), count = (int)(0.06 * 48000);
        float loudest = sound.AsSpan(from, count).ToArray().Max(MathF.Abs);
        int first = Array.FindIndex(sound, from, count, s => MathF.Abs(s) > loudest / 3);
        return first / 48000.0;
    }
}
