using System.Globalization;
using System.Runtime.InteropServices;
using Tonematch.Media.Clips;
using Tonematch.Media.Sound;
using Tonematch.Sync.Sound;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Sound;

public sealed class SoundReaderTests : IDisposable
{
    private const int Rate = 48000;
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // A click at a known instant of the sound; where it is found again, in seconds of the clip's own time line.
    // 'Late' shifts the sound against the pictures through the container's time stamps.
    [Theory]
    [InlineData("pcm.mov", "pcm_s16le", 0.0, 0.0, 1)]
    [InlineData("pcm.mov", "pcm_s16le", 0.0, 0.4, 1)]
    [InlineData("pcm.mkv", "pcm_s16le", 0.5, 0.0, 48)]
    [InlineData("aac.mp4", "aac", 0.0, 0.0, 2)]
    [InlineData("aac.mp4", "aac", 0.25, 0.0, 48)]
    [InlineData("aac.mp4", "aac", 0.0, 0.24, 48)]
    [InlineData("aac.ts", "aac", 0.25, 0.0, 48)]
    [InlineData("aac.ts", "aac", 0.0, 0.24, 48)]
    public async Task ReadMono_SoundShiftedAgainstThePictures_PutsTheClickAtItsTime(
        string name, string codec, double soundLate, double picturesLate, int toleranceSamples)
    {
        // Tolerances: Matroska time stamps and the edit lists FFmpeg writes are rounded to milliseconds (48 samples); coded sound smears a click by a sample or two.
        string path = Make(name, codec, soundLate, picturesLate, ClickAt(2.0, 5));
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        foreach ((double from, double? duration) in ((double, double?)[])[(0, null), soundLate > 0 ? (1.3, 1.5) : (-0.5, 4)])
        {
            MonoSound sound = await SoundReader.ReadMonoAsync(clip, Rate, null, from, duration, TestContext.Current.CancellationToken);
            Assert.Equal(from, sound.StartSeconds, 0.6 / Rate);
            Assert.Equal(2.0 + soundLate - picturesLate, FindClick(sound), (toleranceSamples + 0.5) / Rate);
            if (duration is { } d)
            {
                Assert.Equal((int)Math.Round(d * Rate), sound.Length);
            }
        }
    }

    // Resampled and from the middle, as sync and the choice of a track read it; the click's place is the sound's own.
    [Theory]
    [InlineData("click.mp4", 48000, 16000)]
    [InlineData("click.mp4", 44100, 16000)]
    [InlineData("click.mp4", 44100, 8000)]
    [InlineData("click.ts", 48000, 16000)]
    public async Task ReadMono_ResampledFromTheMiddle_PutsTheClickAtItsTime(string name, int ownRate, int rate)
    {
        string path = Make(name, "aac", 0, 0, ClickAt(6.0, 8), ownRate: ownRate);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        foreach ((double from, double? duration) in ((double, double?)[])[(0, null), (0.7, null), (3.37, 4), (5.013, 2)])
        {
            MonoSound sound = await SoundReader.ReadMonoAsync(clip, rate, null, from, duration, TestContext.Current.CancellationToken);
            Assert.Equal(from, sound.StartSeconds, 0.6 / ownRate);

            // Half a sample, and the millisecond of MPEG-TS time stamps.
            Assert.Equal(6.0, FindClick(sound), (0.6 / rate) + (name.EndsWith(".ts", StringComparison.Ordinal) ? 0.001 : 0));
        }
    }

    [Fact]
    public async Task ReadMono_LowRate_KeepsTheTimeToAFractionOfASample()
    {
        string path = Make("a.mov", "pcm_s16le", 0, 0, ClickAt(2.0, 5));
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        MonoSound sound = await SoundReader.ReadMonoAsync(clip, 16000, cancel: TestContext.Current.CancellationToken);
        Assert.Equal(2.0, FindClick(sound), 0.6 / 16000);
        Assert.Equal(5.0, sound.DurationSeconds, 0.01);
    }

    [Fact]
    public async Task ReadMono_GapInTheSound_IsSilenceSoThatLaterSoundKeepsItsTime()
    {
        // Between 1 s and 2.5 s the packets are missing, as after a recorder's hiccup.
        string whole = Make("whole.mkv", "pcm_s16le", 0, 0, ClickAt(3.0, 5));
        string holed = _folder.PathOf("holed.mkv");
        ExternalTool.Ffmpeg().Run(
            ["-v", "error", "-i", "file:" + whole, "-map", "0", "-c:v", "copy", "-af", "aselect='lt(t,1)+gt(t,2.5)'", "-c:a", "pcm_s16le", "file:" + holed]);
        ClipInfo clip = await ClipProbe.ProbeAsync(holed, TestContext.Current.CancellationToken);
        MonoSound sound = await SoundReader.ReadMonoAsync(clip, Rate, cancel: TestContext.Current.CancellationToken);
        // A packet may straddle the hole's edge: to a millisecond, and not 1.5 s early.
        Assert.Equal(3.0, FindClick(sound), 0.0011);
    }

    [Fact]
    public async Task ReadMono_SixChannels_HearsEverySpeakerButNotTheSubwooferAlone()
    {
        // Channel c clicks at 0.5 + 0.5 c seconds.
        float[] all = new float[6 * 4 * Rate];
        for (int channel = 0; channel < 6; channel++)
        {
            float[] click = ClickAt(0.5 + (0.5 * channel), 4);
            for (int i = 0; i < click.Length; i++)
            {
                all[(6 * i) + channel] = click[i];
            }
        }

        ClipInfo clip = await ClipProbe.ProbeAsync(Make("six.mov", "pcm_s16le", 0, 0, all, channels: 6), TestContext.Current.CancellationToken);
        Assert.Equal(6, clip.AudioTracks[0].Channels);
        MonoSound sound = await SoundReader.ReadMonoAsync(clip, 8000, cancel: TestContext.Current.CancellationToken);
        for (int channel = 0; channel < 6; channel++)
        {
            float peak = 0;
            foreach (float s in sound.ToArray().AsSpan((int)((0.4 + (0.5 * channel)) * 8000), 1600))
            {
                peak = Math.Max(peak, Math.Abs(s));
            }

            // ITU-R BS.775 down-mix: the low-frequency channel (number 3 from 0) is left out.
            Assert.True(channel == 3 ? peak < 0.01 : peak > 0.05, $"channel {channel}: peak {peak}");
        }
    }

    [Fact]
    public async Task ChooseTrack_QuietScratchTrackFirst_TakesTheLoudOne()
    {
        float[] quiet = [.. ClickAt(1.0, 20).Select(s => s * 0.01f)];
        string a = Make("a.mov", "pcm_s16le", 0, 0, quiet), b = Make("b.mov", "pcm_s16le", 0, 0, [.. Enumerable.Range(0, 20 * Rate).Select(i => 0.3f * MathF.Sin(i * 0.05f))]);
        string both = _folder.PathOf("both.mkv");
        ExternalTool.Ffmpeg().Run(
            ["-v", "error", "-i", "file:" + a, "-i", "file:" + b, "-map", "0:v", "-map", "0:a", "-map", "1:a", "-c", "copy", "-metadata:s:a:1", "language=fre", "file:" + both]);
        ClipInfo clip = await ClipProbe.ProbeAsync(both, TestContext.Current.CancellationToken);
        Assert.Equal(2, clip.AudioTracks.Length);
        Assert.Equal("fre", clip.AudioTracks[1].Language);
        Assert.Equal(1, await SoundReader.ChooseTrackAsync(clip, TestContext.Current.CancellationToken));
        await Assert.ThrowsAsync<UnusableInputException>(() => SoundReader.ReadMonoAsync(clip, 8000, 2, cancel: TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task ReadMono_ClipWithoutSound_SaysSo()
    {
        string path = CountingClip.Make(_folder.PathOf("silent.mp4"), 10, "25", "-c:v", "libx264", "-preset", "ultrafast");
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        var e = await Assert.ThrowsAsync<UnusableInputException>(() => SoundReader.ReadMonoAsync(clip, 8000, cancel: TestContext.Current.CancellationToken));
        Assert.Contains("has no sound", e.Message, StringComparison.Ordinal);
        Assert.Null(await SoundReader.ChooseTrackAsync(clip, TestContext.Current.CancellationToken));
    }

    // Two MPEG-TS streams one after the other, as a receiver records them: at the file's beginning the track runs at 44.1
    // kHz, and so says the probe, from the sixth second on at 48 kHz. Expected: what the second stream gives by itself, to
    // the 20 ms up to which the resampler does not cut: FFmpeg steps through such packets at the probed rate.
    [Fact]
    public async Task ReadMono_DecodersRateIsNotTheProbed_PutsTheClickAtItsTime()
    {
        (ClipInfo both, ClipInfo second) = await TwoRates();
        Assert.Equal(44100, both.AudioTracks[0].SampleRate);
        Assert.Equal(48000, second.AudioTracks[0].SampleRate);
        MonoSound expected = await SoundReader.ReadMonoAsync(second, 16000, cancel: TestContext.Current.CancellationToken);
        foreach (double from in (double[])[6.5, 7.83])
        {
            MonoSound sound = await SoundReader.ReadMonoAsync(both, 16000, null, from, cancel: TestContext.Current.CancellationToken);
            Assert.Equal(from, sound.StartSeconds, 0.6 / 44100);
            Assert.Equal(
                FindClick(expected) + second.ContainerStartSeconds, FindClick(sound) + both.ContainerStartSeconds, 0.02);
        }
    }

    [Fact]
    public async Task ReadMono_RateChangesOnTheWay_IsRefusedWithTheReason()
    {
        (ClipInfo both, _) = await TwoRates();
        var e = await Assert.ThrowsAsync<UnusableInputException>(() => SoundReader.ReadMonoAsync(both, 16000, cancel: TestContext.Current.CancellationToken));
        Assert.Contains("changes the rate or the channels of its sound", e.Message, StringComparison.Ordinal);

        // Before the change all is well.
        MonoSound sound = await SoundReader.ReadMonoAsync(both, 16000, null, 1, 3, TestContext.Current.CancellationToken);
        Assert.Equal(2.0, FindClick(sound), 0.001 + (1.0 / 16000));
    }

    // The loud track changes its rate in the middle of every stretch that is listened to; the quiet one can be read.
    [Fact]
    public async Task ChooseTrack_RateChangesOnTheWay_TakesTheOneThatCanBeRead()
    {
        string quiet = Make("quiet.ts", "aac", 0, 0, [.. ClickAt(3, 6).Select(s => s * 0.1f)]);
        List<byte> bytes = [];
        foreach (int rate in (int[])[44100, 48000])
        {
            string loud = Make($"loud{rate}.ts", "aac", 0, 0, ClickAt(3, 6), ownRate: rate), two = _folder.PathOf($"two{rate}.ts");
            ExternalTool.Ffmpeg().Run(["-v", "error", "-i", "file:" + loud, "-i", "file:" + quiet, "-map", "0", "-map", "1:a", "-c", "copy", "-output_ts_offset", rate > 45000 ? "6" : "0", "file:" + two]);
            bytes.AddRange(await File.ReadAllBytesAsync(two, TestContext.Current.CancellationToken));
        }

        string path = _folder.PathOf("both.ts");
        await File.WriteAllBytesAsync(path, [.. bytes], TestContext.Current.CancellationToken);
        ClipInfo clip = await ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken);
        Assert.Equal(2, clip.AudioTracks.Length);
        await Assert.ThrowsAsync<UnusableInputException>(() => SoundReader.ReadMonoAsync(clip, 8000, 0, cancel: TestContext.Current.CancellationToken));
        Assert.Equal(1, await SoundReader.ChooseTrackAsync(clip, TestContext.Current.CancellationToken));
    }

    private async Task<(ClipInfo Both, ClipInfo Second)> TwoRates()
    {
        string first = Make("first.ts", "aac", 0, 0, ClickAt(2, 6), ownRate: 44100), second = Make("second.ts", "aac", 6, 6, ClickAt(3, 6), ownRate: 48000);
        string both = _folder.PathOf("both.ts");
        await File.WriteAllBytesAsync(both, [.. await File.ReadAllBytesAsync(first), .. await File.ReadAllBytesAsync(second)], TestContext.Current.CancellationToken);
        return (await ClipProbe.ProbeAsync(both, TestContext.Current.CancellationToken), await ClipProbe.ProbeAsync(second, TestContext.Current.CancellationToken));
    }

    private static float Template(double t) =>
        // One and a half milliseconds of 2 kHz under a raised cosine, even about 0.
        Math.Abs(t) < 0.00075 ? (float)(0.8 * Math.Cos(2 * Math.PI * 2000 * t) * (0.5 + (0.5 * Math.Cos(Math.PI * t / 0.00075)))) : 0;

    private static float[] ClickAt(double seconds, double length) =>
        [.. Enumerable.Range(0, (int)(length * Rate)).Select(i => Template(((double)i / Rate) - seconds))];

    private static double FindClick(MonoSound sound)
    {
        // The loudest sample says about where, the correlation with the click's shape exactly.
        float[] samples = sound.ToArray();
        int half = (int)(0.001 * sound.SampleRate), loudest = 0;
        for (int i = 0; i < samples.Length; i++)
        {
            loudest = Math.Abs(samples[i]) > Math.Abs(samples[loudest]) ? i : loudest;
        }

        Assert.InRange(loudest, 3 * half, samples.Length - (3 * half));
        float[] correlation = new float[samples.Length];
        int at = loudest;
        for (int i = loudest - half; i < loudest + half; i++)
        {
            for (int k = -half; k <= half; k++)
            {
                correlation[i] += samples[i + k] * Template((double)k / sound.SampleRate);
            }

            at = correlation[i] > correlation[at] ? i : at;
        }

        float l = correlation[at - 1], m = correlation[at], r = correlation[at + 1];
        return sound.StartSeconds + ((at + (0.5 * (l - r) / (l - (2 * m) + r))) / sound.SampleRate);
    }

    private string Make(string name, string codec, double soundLate, double picturesLate, float[] interleaved, int channels = 1, int ownRate = Rate)
    {
        string path = _folder.PathOf(name);
        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-y",
                "-itsoffset", picturesLate.ToString(CultureInfo.InvariantCulture), "-f", "lavfi", "-i", string.Create(CultureInfo.InvariantCulture, $"color=gray:s=64x48:r=25:d={interleaved.Length / channels / (double)Rate:0.###}"),
                "-f", "f32le", "-ar", "48000", "-ac", channels.ToString(CultureInfo.InvariantCulture), "-i", "pipe:0",
                "-c:v", "libx264", "-preset", "ultrafast", .. FfmpegSpelling.PassEveryFrame, 
                // Not '-itsoffset': FFmpeg 9 passes it over where raw sound is read.
                "-af", string.Create(CultureInfo.InvariantCulture, $"asetpts=PTS+{soundLate}/TB"), "-c:a", codec, "-b:a", "192k", "-ar", ownRate.ToString(CultureInfo.InvariantCulture), "file:" + path,
            ],
            MemoryMarshal.AsBytes(interleaved.AsSpan()).ToArray());
        return path;
    }
}
