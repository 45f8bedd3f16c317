using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>
/// The main job on real footage: real clips and photographs, of which one side is rendered anew by FFmpeg as another
/// camera would, with shifted sound. What is true is known because FFmpeg made it.
/// </summary>
public sealed class RealClipTests : IDisposable
{
    private const string OpenCvData = "/usr/share/doc/opencv-doc/examples/data/";

    // Another camera's rendering: warmer, lower contrast, less saturation. Colours in RGB by FFmpeg's own filters.
    private const string OtherCamera = "zscale=matrixin=709:rangein=limited:matrix=gbr:range=full,format=gbrp16le,"
        + "colorchannelmixer=rr=0.9598:rg=0.0832:rb=0.0075:gr=0.0270:gg=0.9368:gb=0.0075:br=0.0270:bg=0.0832:bb=0.7643,curves=all='0/0.04 0.5/0.5 1/0.95',"
        + "zscale=matrixin=gbr:rangein=full:matrix=709:range=limited,format=yuv420p," + FfmpegSpelling.TagsBt709;

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Match_RealClipAgainstItsOtherRendering_IsFarCloserAfterwards()
    {
        string street = OpenCvData + "vtest.avi";
        Assert.SkipUnless(File.Exists(street), "opencv-doc (Debian) is not installed");
        string primary = _folder.PathOf("street.mp4"), secondary = _folder.PathOf("street, other [camera] 'b'.mp4");
        await FfmpegAsync(["-i", street, "-f", "lavfi", "-i", Claps(11, 2.5, 6.25, 7.0), "-t", "12", "-vf", FfmpegSpelling.TagsBt709, .. Encoded, "-shortest", primary]);
        await FfmpegAsync(["-ss", "1.7", "-i", street, "-f", "lavfi", "-i", Claps(12, 2.5 - 1.7, 6.25 - 1.7, 7.0 - 1.7), "-t", "9", "-vf", OtherCamera, .. Encoded, "-shortest", secondary]);

        ProgramRun run = (await BuiltProgram.RunAsync("match", primary, secondary, "--out", _folder.PathOf("out"), "--json")).Ended(0);

        JsonElement json = run.Json;
        Assert.Equal(-1.7, json.GetProperty("sync").GetProperty("offset_seconds").GetDouble(), 0.012);
        Assert.Equal("overlap", json.GetProperty("method").GetString());
        double before = json.GetProperty("before").GetProperty("mean").GetDouble(), after = json.GetProperty("after").GetProperty("mean").GetDouble();

        // How far apart the two renderings are on average depends on which things are sampled: about 4.
        Assert.True(before > 3, $"before {before}");
        Assert.True(after < 1.5 && after < 0.4 * before, $"after {after}, before {before}");
    }

    // The secondary is made darker from its 5.3 s on, which are 7.0 s of the primary; vtest.avi has ten frames a second.
    [Fact]
    public async Task CheckEveryFrame_SecondaryBecomesDarkerOnTheWay_NamesThatFrame()
    {
        string street = OpenCvData + "vtest.avi";
        Assert.SkipUnless(File.Exists(street), "opencv-doc (Debian) is not installed");
        string primary = _folder.PathOf("street.mp4"), secondary = _folder.PathOf("darker.mp4"), csv = _folder.PathOf("over time.csv");
        await FfmpegAsync(["-i", street, "-t", "12", "-vf", FfmpegSpelling.TagsBt709, .. Encoded, "-an", primary]);
        await FfmpegAsync(["-ss", "1.7", "-i", street, "-t", "9", "-vf", "format=gbrp,colorchannelmixer=rr=0.85:gg=0.85:bb=0.85:enable='gte(t,5.25)'," + ToBt709, .. Encoded, "-an", secondary]);

        ProgramRun run = (await BuiltProgram.RunAsync("check", primary, secondary, "--offset", "-1.7", "--every-frame", "--tolerance", "20", "--csv", csv, "--json")).Ended(0);

        JsonElement step = Assert.Single(run.Json.GetProperty("steps").EnumerateArray());
        Assert.Equal(7.0, step.GetProperty("primary_seconds").GetDouble(), 0.05);
        Assert.InRange(step.GetProperty("exposure_stops").GetDouble(), -0.7, -0.25);
        Assert.InRange(File.ReadAllLines(csv).Length, 85, 92);
    }

    [Fact]
    public async Task Match_TwoViewPhotographsAsClips_FindsTheSameObjects()
    {
        Assert.SkipUnless(File.Exists(OpenCvData + "aloeL.jpg"), "opencv-doc (Debian) is not installed");
        string primary = _folder.PathOf("left.mp4"), secondary = _folder.PathOf("right.mp4");
        await FfmpegAsync(["-loop", "1", "-i", OpenCvData + "aloeL.jpg", "-f", "lavfi", "-i", Claps(13, 1.0, 2.6, 3.1), "-t", "4", "-r", "25", "-vf", ToBt709, .. Encoded, primary]);
        await FfmpegAsync(["-loop", "1", "-i", OpenCvData + "aloeR.jpg", "-f", "lavfi", "-i", Claps(14, 0.55, 2.15, 2.65), "-t", "4", "-r", "30000/1001", "-vf", ToBt709 + "," + OtherCamera, .. Encoded, secondary]);

        ProgramRun run = (await BuiltProgram.RunAsync("match", primary, secondary, "--out", _folder.PathOf("out"), "--json")).Ended(0);

        Assert.Equal("overlap", run.Json.GetProperty("method").GetString());
        Assert.Equal(-0.45, run.Json.GetProperty("sync").GetProperty("offset_seconds").GetDouble(), 0.012);
        Assert.True(run.Json.GetProperty("after").GetProperty("mean").GetDouble() < 0.4 * run.Json.GetProperty("before").GetProperty("mean").GetDouble());
    }

    [Fact]
    public async Task Sync_UnrelatedRecordings_AreRefusedWithExitCode4()
    {
        string a = SharedData.Require("video/stream.mp4"), b = _folder.PathOf("claps.mp4");
        await FfmpegAsync(["-f", "lavfi", "-i", "testsrc2=s=320x180:r=25:d=6", "-f", "lavfi", "-i", Claps(15, 1.0, 2.6, 4.4), "-t", "6", "-vf", FfmpegSpelling.TagsBt709, .. Encoded, b]);
        (await BuiltProgram.RunAsync("sync", a, b)).Ended(4).Says("--same-moment");
    }

    [Fact]
    public async Task Match_TruncatedClip_IsRefusedWithItsName()
    {
        byte[] whole = File.ReadAllBytes(SharedData.Require("video/flower.mp4"));
        string cut = _folder.PathOf("cut.mp4");
        File.WriteAllBytes(cut, whole[..40000]);
        (await BuiltProgram.RunAsync("match", SharedData.Require("video/flower.mp4"), cut, "--out", _folder.PathOf("out"))).Ended(3).Says("cut.mp4");
    }

    private static string[] Encoded =>
    [
        // A key frame a second, as cameras write them.
        "-c:v", "libx264", "-preset", "ultrafast", "-crf", "12", "-g", "25", "-pix_fmt", "yuv420p", "-c:a", "aac", "-ar", "48000", "-y",
    ];

    // Pictures are sRGB; their code values are kept as they are and only written as BT.709 Y'CbCr.
    private const string ToBt709 = "scale=960:-2:flags=area,format=gbrp,zscale=matrixin=gbr:rangein=full:matrix=709:range=limited,format=yuv420p," + FfmpegSpelling.TagsBt709;

    // The same short sounds at these seconds, over a little noise that no two recordings share.
    private static string Claps(int seed, params double[] seconds)
    {
        string bursts = string.Join('+', seconds.Select(s => string.Create(CultureInfo.InvariantCulture,
            $"gt(t\\,{s:F4})*exp(-60*(t-{s:F4}))*(sin(11000*(t-{s:F4}))+sin(17300*(t-{s:F4}))+sin(29100*(t-{s:F4})))")));
        return string.Create(CultureInfo.InvariantCulture, $"aevalsrc='if(eq(n\\,0)\\,st(1\\,{seed})*0)+0.2*({bursts})+0.002*(random(1)*2-1)':s=48000:d=20");
    }

    private static async Task FfmpegAsync(string[] arguments)
    {
        ProcessStartInfo start = new("ffmpeg", ["-v", "error", "-nostdin", .. arguments]) { RedirectStandardError = true };
        using Process process = Process.Start(start) ?? throw new InvalidOperationException("ffmpeg did not start.");
        string errors = await process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(process.ExitCode == 0, errors);
    }
}
