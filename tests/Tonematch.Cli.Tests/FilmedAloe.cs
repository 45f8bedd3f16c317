using System.Globalization;
using Tonematch.Testing;
using Tonematch.Testing.Sounds;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>
/// One event filmed by two cameras, made of the two photographs of the aloe (Middlebury stereo data 2006, in Debian's
/// opencv-doc with its measured disparities): so what is true is known, of the colours, of the places and of the time.
/// The wide camera pans; the other, a phone held upright, stands beside it, goes in from 1.4 to 1.9 times closer, stores
/// its frames lying and tags them as turned, and is darker, warmer and of more contrast. Both hear the same talk, music
/// and claps, each in its own room.
/// </summary>
internal sealed class FilmedAloe
{
    /// <summary>The phone was started so much later: t_secondary = t_primary + offset.</summary>
    public const double OffsetSeconds = -3.37;

    private const string Data = "/usr/share/doc/opencv-doc/examples/data/";
    private const int Width = 1282;
    private const int Height = 1110;
    private const int SoundRate = 48000;
    private const double WideSeconds = 12;
    private const double PhoneSeconds = 10;

    private const string ToBt709 = "format=gbrp,zscale=matrixin=gbr:rangein=full:matrix=709:range=limited,format=yuv444p";
    private const string ToStored = "zscale=matrixin=709:matrix=709:rangein=limited:range=limited,format=yuv420p," + FfmpegSpelling.TagsBt709;

    private readonly ExternalTool _ffmpeg = ExternalTool.Ffmpeg();
    private readonly byte[] _left;
    private readonly byte[] _right;
    private readonly byte[] _rendered;

    public FilmedAloe()
    {
        Assert.SkipUnless(File.Exists(Data + "aloeGT.png"), "opencv-doc (Debian) is not installed");
        _left = Decode("aloeL.jpg", "rgb24");
        _right = Decode("aloeR.jpg", "rgb24");
        _rendered = Rendered(_right);
    }

    /// <summary>The wide camera's clip: 1280x720, 25 frames a second, MPEG transport stream, whose time begins at 1.4 s.</summary>
    public string Wide(TempFolder folder)
    {
        string clip = folder.PathOf("wide.ts");
        MadeRoom room = new(6, 5, 2.8, 0.7);
        float[] response = room.Response(SoundRate, (2.0, 2.2, 1.5), (3.4, 2.9, 1.3));
        string heard = Sound(folder, "wide.f32", response, 2, WideSeconds, SoundRate, 21);
        Run(
            _left,
            "zscale=1538:1332:filter=bicubic," + ToBt709 + ",loop=-1:1,setpts=N/25/TB,crop=1280:720:20+0.6*n:250+0.2*n," + ToStored,
            heard, SoundRate, ["-r", "25", "-frames:v", "300", "-c:a", "aac", .. Tagged, clip]);
        return clip;
    }

    /// <summary>The phone's clip: 1440x1080 tagged to be turned upright, 30000/1001 frames a second, MP4.</summary>
    public string Phone(TempFolder folder)
    {
        string lying = folder.PathOf("lying.mp4"), clip = folder.PathOf("phone.mp4");
        MadeRoom room = new(9, 7, 3.4, 0.85);
        float[] response = room.Response(SoundRate, (3.0, 3.1, 1.5), (5.6, 4.4, 1.1));
        string heard = Sound(folder, "phone.f32", response, 2 - OffsetSeconds, PhoneSeconds, 44100, 22);
        Run(
            _rendered,
            "crop=831:1108:205:1,zscale=1662:2216:filter=bicubic," + ToBt709
                + ",zoompan=z=1.34+0.45*on/300:x=iw/2-iw/zoom/2:y=ih/2-ih/zoom/2:d=300:s=1080x1440:fps=30000/1001," + ToStored + ",transpose=clock",
            heard, 44100, ["-c:a", "aac", .. Tagged, lying]);

        // Written as a display matrix that turns the picture anticlockwise.
        FfmpegSpelling.CopyTurned(lying, 90, clip);
        return clip;
    }

    /// <summary>
    /// What both cameras recorded at places that truly correspond, code values 0..1, 5x5 pixels of the photographs each:
    /// where the measured disparities are of one surface that both see, nothing clips and no edge is near.
    /// </summary>
    public IReadOnlyList<TruePlace> TruePlaces()
    {
        byte[] disparity = Decode("aloeGT.png", "gray");
        List<TruePlace> places = [];
        for (int y = 4; y < Height - 4; y += 4)
        {
            int[] nearest = new int[Width];
            for (int x = 0; x < Width; x++)
            {
                int d = disparity[(y * Width) + x];
                if (d > 0 && x >= d)
                {
                    nearest[x - d] = Math.Max(nearest[x - d], d);
                }
            }

            for (int x = 4; x < Width - 4; x += 4)
            {
                int d = disparity[(y * Width) + x];
                bool isOneSurface = Enumerable.Range(0, 25).All(i => Math.Abs(disparity[((y - 2 + (i / 5)) * Width) + x - 2 + (i % 5)] - d) <= 1);
                if (d > 0 && isOneSurface && x - d >= 4 && nearest[x - d] <= d + 1
                    && Flat(_left, x, y) is { } wide && Flat(_right, x - d, y) is { } photograph && Flat(_rendered, x - d, y) is { } phone)
                {
                    places.Add(new TruePlace(wide, phone, photograph));
                }
            }
        }

        return places;
    }

    private static string[] Tagged =>
    [
        // A key frame a second, as cameras write them.
        "-c:v", "libx264", "-preset", "ultrafast", "-crf", "14", "-g", "25",
    ];

    // Light through gamma 2.4 (ITU-R BT.1886): 0.8 stops less, warmer; then an S-curve of the code values.
    private static byte[] Rendered(byte[] photograph)
    {
        byte[][] tables = [.. ((double[])[0.60, 0.53, 0.45]).Select(gain => Enumerable.Range(0, 256).Select(code =>
        {
            double v = Math.Pow(gain * Math.Pow(code / 255.0, 2.4), 1 / 2.4);
            return (byte)Math.Round(255 * (v - (0.05 * Math.Sin(2 * Math.PI * v))));
        }).ToArray())];
        return [.. photograph.Select((code, i) => tables[i % 3][code])];
    }

    private static double[]? Flat(byte[] rgb, int x, int y)
    {
        double[] mean = new double[3];
        for (int c = 0; c < 3; c++)
        {
            int[] codes = [.. Enumerable.Range(0, 25).Select(i => (int)rgb[(3 * (((y - 2 + (i / 5)) * Width) + x - 2 + (i % 5))) + c])];
            if (codes.Min() < 2 || codes.Max() > 250 || codes.Max() - codes.Min() > 24)
            {
                return null;
            }

            mean[c] = codes.Average() / 255;
        }

        return mean;
    }

    // What is heard of the event through a room, and some noise of the recorder's own.
    private static string Sound(TempFolder folder, string name, float[] response, double from, double seconds, int rate, int seed)
    {
        float[] talk = MadeSound.Speech(SoundRate, 20, 5), claps = MadeSound.Claps(SoundRate, 20, [6.1, 6.7, 12.9], 6), music = MadeSound.Music(SoundRate, 20, 7);
        float[] heard = MadeRecording.Convolve(MadeSound.Mix(MadeSound.Mix(talk, claps, 1), music, 0.4), response);
        float[] recorded = MadeRecording.WithNoise(MadeRecording.Record(heard, SoundRate, from, seconds, rate), 30, seed);
        float gain = 0.5f / recorded.Max(Math.Abs);
        byte[] bytes = new byte[4 * recorded.Length];
        Buffer.BlockCopy(recorded.Select(s => gain * s).ToArray(), 0, bytes, 0, bytes.Length);
        string path = folder.PathOf(name);
        File.WriteAllBytes(path, bytes);
        return path;
    }

    private byte[] Decode(string name, string format) => _ffmpeg.Run(["-v", "error", "-i", Data + name, "-f", "rawvideo", "-pix_fmt", format, "pipe:1"]);

    private void Run(byte[] photograph, string filter, string sound, int rate, string[] output) => _ffmpeg.Run(
        [
            "-v", "error", "-f", "rawvideo", "-pix_fmt", "rgb24", "-s", string.Create(CultureInfo.InvariantCulture, $"{Width}x{Height}"), "-r", "25", "-i", "pipe:0",
            "-f", "f32le", "-ar", rate.ToString(CultureInfo.InvariantCulture), "-ac", "1", "-i", sound, "-vf", filter, .. output,
        ],
        photograph);
}

/// <summary>One thing as both cameras recorded it, code values 0..1.</summary>
/// <param name="Wide">By the wide camera.</param>
/// <param name="Phone">By the phone.</param>
/// <param name="Photograph">By the phone, were it the same make of camera as the wide one.</param>
internal sealed record TruePlace(double[] Wide, double[] Phone, double[] Photograph);
