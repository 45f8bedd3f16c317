using System.Text;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Media.Sound;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Clips;

/// <summary>Every wrong input gets its sentence: what is wrong, which file, what to do. Never a raw error.</summary>
public sealed class WrongInputTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData("", "name is empty")]
    [InlineData("   ", "name is empty")]
    [InlineData("missing.mp4", "does not exist")]
    [InlineData("no-such-folder/clip.mp4", "does not exist")]
    [InlineData("http://example.invalid/clip.mp4", "is an address")]
    [InlineData("rtsp://example.invalid/stream", "is an address")]
    [InlineData("bad\0name.mp4", "no file name can hold")]
    public async Task Probe_PathThatIsNoFile_SaysWhy(string path, string expected) => await AssertRefusedAsync(path, expected, inFolder: false);

    [Theory]
    [InlineData("empty.mp4", "", "is empty")]
    [InlineData("text.mp4", "This is a letter to my aunt, not a clip.\nKind regards\n", "is a text file")]
    [InlineData("zeros.mp4", "\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0", "nothing but zeros")]
    [InlineData("page.mp4", "<!DOCTYPE html><html><body>404 not found</body></html>", "is a text file")]
    [InlineData("list.mp4", "#EXTM3U\n#EXT-X-VERSION:3\n#EXTINF:10,\nfile:///etc/passwd\n#EXT-X-ENDLIST\n", "is a playlist (HLS or M3U)")]
    [InlineData("indented.m3u8", "\uFEFF \n#EXTM3U\n#EXTINF:10,\nhttp://example.invalid/a.ts\n", "is a playlist (HLS or M3U)")]
    [InlineData("join.txt", "ffconcat version 1.0\nfile 'other.mp4'\n", "list of clips")]
    [InlineData("join-bare.txt", "file 'other.mp4'\nfile 'more.mp4'\n", "list of clips")]
    [InlineData("list.pls", "[playlist]\nFile1=http://example.invalid/a\n", "is a playlist (PLS)")]
    [InlineData("session.sdp", "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\nm=video 5004 RTP/AVP 96\n", "session description")]
    [InlineData("manifest.mpd", "<?xml version=\"1.0\"?><MPD xmlns=\"urn:mpeg:dash:schema:mpd:2011\"></MPD>", "is a playlist (XML)")]
    [InlineData("cpl.xml", "<?xml version=\"1.0\"?><CompositionPlaylist></CompositionPlaylist>", "is a playlist (XML)")]
    [InlineData("drawing.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"8\" height=\"8\"><image href=\"file:///etc/passwd\"/></svg>", "is a text file")]
    [InlineData("captions.srt", "1\n00:00:01,000 --> 00:00:02,000\nHello\n\n2\n00:00:03,000 --> 00:00:04,000\nHello\n", "is a text file")]
    [InlineData("meta.txt", ";FFMETADATA1\ntitle=x\n", "is a text file")]
    public async Task Probe_FileThatIsNoRecording_SaysWhatItIs(string name, string content, string expected)
    {
        File.WriteAllText(_folder.PathOf(name), content, new UTF8Encoding(false));
        await AssertRefusedAsync(name, expected);
    }

    [Fact]
    public async Task Probe_NoiseCalledAClip_IsNoMediaFile()
    {
        byte[] noise = new byte[50_000];
        new Random(1).NextBytes(noise);
        File.WriteAllBytes(_folder.PathOf("noise.mkv"), noise);
        await AssertRefusedAsync("noise.mkv", "media file");
    }

    [Fact]
    public async Task Probe_Folder_SaysSo() => await AssertRefusedAsync(".", "is a folder");

    [Fact]
    public async Task Probe_UnreadableFile_SaysSo()
    {
        Assert.SkipWhen(Environment.IsPrivilegedProcess, "this user may read every file");
        if (OperatingSystem.IsWindows())
        {
            Assert.Skip("permissions are another matter there");
            return;
        }

        string path = _folder.PathOf("locked.mp4");
        File.WriteAllText(path, "x");
        File.SetUnixFileMode(path, UnixFileMode.None);
        await AssertRefusedAsync("locked.mp4", "may not be read");
    }

    [Fact]
    public async Task Probe_PipeOrDevice_IsNotOpened()
    {
        Assert.SkipUnless(File.Exists("/dev/zero"), "this system has no /dev/zero");
        await AssertRefusedAsync("/dev/zero", "is empty", inFolder: false);
        string pipe = _folder.PathOf("pipe.mp4");
        ExternalTool.RequireProgram("mkfifo").Run([pipe]);
        await AssertRefusedAsync(pipe, "is empty", inFolder: false);
    }

    [Fact]
    public async Task Probe_CutOffRecordings_SayTheyAreCutOff()
    {
        string whole = CountingClip.Make(_folder.PathOf("whole.mp4"), 50, "25", "-c:v", "libx264", "-preset", "ultrafast");
        byte[] bytes = File.ReadAllBytes(whole);
        File.WriteAllBytes(_folder.PathOf("half.mp4"), bytes[..(bytes.Length / 2)]);
        await AssertRefusedAsync("half.mp4", "is cut off");
        File.WriteAllBytes(_folder.PathOf("few-bytes.mp4"), bytes[..20]);
        await AssertRefusedAsync("few-bytes.mp4", "few-bytes.mp4");

        byte[] photo = File.ReadAllBytes(MakePicture("photo.png"));
        File.WriteAllBytes(_folder.PathOf("half.png"), photo[..40]);
        await AssertUnusableAsync("half.png");
        File.WriteAllBytes(_folder.PathOf("head.jpg"), [0xFF, 0xD8, 0xFF, 0xE0, 0, 16, 0x4A, 0x46, 0x49, 0x46]);
        await AssertUnusableAsync("head.jpg");
    }

    [Fact]
    public async Task Probe_SoundOnly_SaysThereAreNoPictures()
    {
        foreach (string name in (string[])["sound.wav", "sound.mp3", "sound.m4a", "sound.flac"])
        {
            ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "sine=d=0.2", "file:" + _folder.PathOf(name)]);
            await AssertRefusedAsync(name, "only sound");
        }

        // A song with a cover picture is no clip.
        ExternalTool.Ffmpeg().Run(
            ["-v", "error", "-f", "lavfi", "-i", "sine=d=0.2", "-i", "file:" + MakePicture("cover.png"), "-map", "0", "-map", "1", "-disposition:v:0", "attached_pic", "file:" + _folder.PathOf("song.mp3")]);
        await AssertRefusedAsync("song.mp3", "only sound");
    }

    [Fact]
    public async Task Probe_UnknownCodec_NamesIt()
    {
        string clip = CountingClip.Make(_folder.PathOf("good.mp4"), 10, "25", "-c:v", "libx264", "-preset", "ultrafast");
        byte[] bytes = File.ReadAllBytes(clip);
        int at = bytes.AsSpan().LastIndexOf("avc1"u8);
        "zzzz"u8.CopyTo(bytes.AsSpan(at));
        File.WriteAllBytes(_folder.PathOf("odd.mp4"), bytes);
        await AssertRefusedAsync("odd.mp4", "codec");
        "encv"u8.CopyTo(bytes.AsSpan(at));
        File.WriteAllBytes(_folder.PathOf("locked.mp4"), bytes);
        await AssertRefusedAsync("locked.mp4", "locked.mp4");
    }

    [Fact]
    public async Task Grab_DamagedInTheMiddle_NamesTheTimeOrGivesTheFrame()
    {
        string clip = CountingClip.Make(_folder.PathOf("good.mp4"), 100, "25", "-c:v", "libx264", "-preset", "ultrafast", "-g", "25", "-movflags", "+faststart");
        byte[] bytes = File.ReadAllBytes(clip);
        bytes.AsSpan(bytes.Length / 2, bytes.Length / 4).Clear();
        File.WriteAllBytes(_folder.PathOf("holed.mp4"), bytes);
        ClipInfo info = await ClipProbe.ProbeAsync(_folder.PathOf("holed.mp4"), TestContext.Current.CancellationToken);
        int refused = 0;
        foreach (double t in (double[])[0.2, 1.5, 2.2, 2.6, 3.9])
        {
            try
            {
                Assert.Single(await FrameReader.GrabAsync(info, [t], TestContext.Current.CancellationToken));
            }
            catch (UnusableInputException e)
            {
                refused++;
                Assert.Contains("holed.mp4", e.Message, StringComparison.Ordinal);
            }
        }

        Assert.True(refused > 0, "zeroing a quarter of the file must cost frames");
    }

    [Fact]
    public async Task Probe_CancelledBefore_Throws()
    {
        string clip = CountingClip.Make(_folder.PathOf("good.mp4"), 10, "25", "-c:v", "libx264", "-preset", "ultrafast");
        using CancellationTokenSource cancelled = new();
        await cancelled.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => ClipProbe.ProbeAsync(clip, cancelled.Token));
        ClipInfo info = await ClipProbe.ProbeAsync(clip, TestContext.Current.CancellationToken);
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => FrameReader.GrabAsync(info, [0.1], cancelled.Token));
        await Assert.ThrowsAnyAsync<Exception>(() => SoundReader.ReadMonoAsync(info, 8000, cancel: cancelled.Token));
    }

    private string MakePicture(string name)
    {
        ExternalTool.Ffmpeg().Run(["-v", "error", "-y", "-f", "lavfi", "-i", "testsrc2=s=64x48", "-frames:v", "1", "file:" + _folder.PathOf(name)]);
        return _folder.PathOf(name);
    }

    private async Task AssertRefusedAsync(string name, string expected, bool inFolder = true)
    {
        string path = inFolder ? _folder.PathOf(name) : name;
        var e = await Assert.ThrowsAsync<UnusableInputException>(() => ClipProbe.ProbeAsync(path, TestContext.Current.CancellationToken));
        AssertSentence(e);
        Assert.Contains(expected, e.Message, StringComparison.Ordinal);
    }

    /// <summary>Refused at the probe or at the first frame.</summary>
    private async Task AssertUnusableAsync(string name)
    {
        var e = await Assert.ThrowsAsync<UnusableInputException>(async () =>
        {
            ClipInfo clip = await ClipProbe.ProbeAsync(_folder.PathOf(name), TestContext.Current.CancellationToken);
            await FrameReader.GrabAsync(clip, [0], TestContext.Current.CancellationToken);
        });
        AssertSentence(e);
        Assert.Contains(name, e.Message, StringComparison.Ordinal);
    }

    private static void AssertSentence(UnusableInputException e)
    {
        Assert.EndsWith(".", e.Message.TrimEnd('?', '.') + ".", StringComparison.Ordinal);
        Assert.DoesNotContain(" 0x", e.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', e.Message.Replace("bad\0name", "", StringComparison.Ordinal));
        Assert.InRange(e.Message.Length, 20, 400);
    }
}
