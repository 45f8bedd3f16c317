using System.Globalization;
using System.Text;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Drift;
using Tonematch.Formats;
using Tonematch.Formats.Cdl;
using Tonematch.Formats.Clf;
using Tonematch.Formats.Cube;
using Tonematch.Formats.Pairs;
using Tonematch.Formats.Timelines;
using Tonematch.Luts.Tables;
using Tonematch.Samples;
using Tonematch.Samples.Charts;

namespace Tonematch.Testing;

/// <summary>
/// Broken files made from sound ones: every reader must read them or refuse them with an
/// <see cref="UnusableInputException"/>, and nothing else.
/// </summary>
public static class ReaderFuzz
{
    // What breaks parsers: edges of numbers, sizes, quotes, tags, line ends.
    private static readonly string[] s_pieces =
    [
        "0", "-1", "1e999", "-1e-999", "NaN", "inf", "1e39", "2147483648", "129", "130", "65537", "99999999999999999999", "1,5", ".", "+", "-", "0x10",
        " ", "\t", "\n", "\r", "\r\n", "\0", "\uFEFF", "\u2028", "\uD800", "#", "\"", "'", "<", ">", "/>", "</", "&", "&#0;", "&#xD800;", "&lt;", "]]>", "<![CDATA[",
        "<!--", "-->", "<?x?>", "<!DOCTYPE a [<!ENTITY b \"c\">]>", "xmlns=\"\"", "dim=\"2 2 2 3\"", "{", "}", "[", "]", ":", ",", "null", "true", "\\ud800",
        "LUT_3D_SIZE 2", "LUT_1D_SIZE 2", "DOMAIN_MIN 0 0 0", "DOMAIN_MAX 1 1 1", "LUT_3D_INPUT_RANGE 0 1", "TITLE", "0 0 0\n",
        "<SOPNode>", "<Slope>1 1 1</Slope>", "<Array dim=\"3 3\">", "inBitDepth=\"32f\"", "style=\"Rev\"", "channel=\"R\"", "halfDomain=\"true\"", "rawHalfs=\"true\"",
    ];

    // Before the seeds, which are made of it.
    private static readonly Timeline s_timeline = new(
        "evening", 25, 3600, false,
        [
            new TimelineTrack("camera-b", true, [new TimelineClip("b1.mov", "camera-b/b1.mov", 0, 12, 25) { Correction = "b/correction.cube", DriftTrack = "b/drift.csv", RatePpm = 40 }, new TimelineClip("b2.mov", "camera-b/b2.mov", 20, 8, 25)]),
        ]);

    private const string s_chart = """
        {"schema": "tonematch-chart-1", "name": "two", "title": "Two", "columns": 2, "rows": 1, "patch_share": 0.7, "white": {"name": "D50", "x": 0.3457, "y": 0.3585}, "observer": "2",
        "source": "s", "note": "n", "patches": [{"name": "a", "lab": [50, 1, 2]}, {"name": "b", "xyY": [0.3, 0.3, 0.2]}]}
        """;

    /// <summary>The sound files, each with its reader.</summary>
    public static IReadOnlyList<(string Name, string Text, Action<string> Read)> Seeds { get; } = MakeSeeds();

    /// <summary>The input of this number: always the same.</summary>
    public static (string Name, string Text, Action<string> Read) Input(int number)
    {
        Random random = new(number);
        (string name, string text, Action<string> read) = Seeds[random.Next(Seeds.Count)];
        return (name, Mutated(text, random), read);
    }

    /// <summary>A text with one to six faults in it.</summary>
    public static string Mutated(string text, Random random)
    {
        ArgumentNullException.ThrowIfNull(random);
        StringBuilder mutated = new(text);
        for (int steps = random.Next(1, 7); steps > 0; steps--)
        {
            int at = random.Next(mutated.Length + 1), length = Math.Min(random.Next(1, 40), mutated.Length - at);
            switch (random.Next(8))
            {
                case 0:
                    mutated.Remove(at, length);
                    break;
                case 1:
                    mutated.Insert(random.Next(mutated.Length + 1), mutated.ToString(at, length));
                    break;
                case 2:
                    mutated.Length = at;
                    break;
                case 3 when mutated.Length > at:
                    mutated[at] = (char)random.Next(random.Next(2) == 0 ? 128 : 65536);
                    break;
                case 4:
                    string other = Seeds[random.Next(Seeds.Count)].Text;
                    int from = random.Next(other.Length);
                    mutated.Insert(at, other.AsSpan(from, Math.Min(random.Next(1, 200), other.Length - from)));
                    break;
                case 5 when length > 0:
                    mutated.Replace(mutated.ToString(at, 1), s_pieces[random.Next(s_pieces.Length)], at, length);
                    break;
                default:
                    mutated.Insert(at, s_pieces[random.Next(s_pieces.Length)]);
                    break;
            }
        }

        return mutated.ToString();
    }

    /// <summary>What went wrong with an input: an exception of another kind; null when all is well.</summary>
    public static Exception? Fault(string text, Action<string> read)
    {
        try
        {
            read(text);
            return null;
        }
        catch (UnusableInputException e)
        {
            // The sentence must name the file and be one line of readable length.
            return e.Message.Contains("fuzzed", StringComparison.Ordinal) && e.Message.Length < 400 ? null : e;
        }
#pragma warning disable CA1031 // Any other exception is what the fuzzer looks for.
        catch (Exception e)
#pragma warning restore CA1031
        {
            return e;
        }
    }

    private static List<(string, string, Action<string>)> MakeSeeds()
    {
        Lut3D lut = Lut3D.FromFunction(3, c => new CodeRgb(c.R, 0.5 * c.G, c.B * c.B));
        Lut1D curve = new(3, [0, 0.1f, 0.2f, 0.3f, 0.4f, 0.5f, 1, 1.5f, 2], CodeRgb.Grey(-1), CodeRgb.Grey(1));
        CdlNumbers cdl = new((1.1, 0.9, 1), (0.01, -0.02, 0), (1, 1.2, 0.8), 0.9) { Id = "a", Description = "b" };
        ClfFile clf = new(
        [
            new ClfMatrix(Matrix3.Identity, new CodeRgb(0.1, 0, 0)), new ClfRange((0, 0), (1, 1)), new ClfAscCdl(cdl),
            new ClfExponent(ClfExponentStyle.MonCurveFwd, (2.2, 2.2, 2.2), (0.1, 0.1, 0.1)),
            new ClfLog(ClfLogStyle.CameraLinToLog, new(2, 0.06, 0.55, LinSideBreak: 0.01), new(2, 0.06, 0.55, LinSideBreak: 0.01), new(2, 0.06, 0.55, LinSideBreak: 0.01)),
            new ClfLut1D([0, 0.1f, 0.2f, 1, 0.9f, 0.8f]), new ClfLut3D(Lut3D.Identity(2)),
        ])
        { Id = "i", Name = "n", Description = "d" };
        const string name = "fuzzed";
        Action<string> readCube = t => CubeFormat.Read(new StringReader(t), name);
        Action<string> readCdl = t => CdlFormat.Read(new StringReader(t), name);
        return
        [
            ("cube 3D", Written(w => CubeFormat.Write(w, lut, "t")), readCube),
            ("cube 1D", Written(w => CubeFormat.Write(w, curve, "t")), readCube),
            ("cube both", "LUT_1D_SIZE 2\nLUT_1D_INPUT_RANGE 0 1\nLUT_3D_SIZE 2\nLUT_3D_INPUT_RANGE 0 1\n" + string.Concat(Enumerable.Repeat("0 0.5 1\n", 10)), readCube),
            ("cc", Written(w => CdlFormat.Write(w, CdlFileKind.Correction, cdl)), readCdl),
            ("ccc", Written(w => CdlFormat.Write(w, CdlFileKind.Collection, cdl, cdl)), readCdl),
            ("cdl", Written(w => CdlFormat.Write(w, CdlFileKind.DecisionList, cdl)), readCdl),
            ("clf", Written(w => ClfFormat.Write(w, clf)), t => ClfFormat.Read(new StringReader(t), name).Apply(new CodeRgb(0.2, 0.5, 1.1))),
            ("regions", """[{"name": "apron", "primary": {"x": 0.4, "y": 0.5, "width": 0.05, "height": 0.05}, "secondary": {"polygon": [[0.1, 0.2], [0.3, 0.2], [0.2, 0.4]]}, "at": 3.5}, {"name": "cloth", "primary": {"x": 400, "y": 50, "width": 5, "height": 5}, "secondary": {"x": 1, "y": 5, "width": 5, "height": 5}}]""", t => RegionsFile.Parse(t, name)),
            ("trim", Written(w => TrimJson.Write(w, Trim.None with { Strength = 0.8, ExposureStops = 0.2 })), t => TrimJson.Read(t, name)),
            ("drift", Written(w => DriftCsv.Write(w, new DriftTrack([new DriftPoint(0, new(0.1, 3, 0), default), new DriftPoint(2.5, new(-0.2, 0, 0.01), default)]))), t => DriftCsv.Read(new StringReader(t), name)),
            ("timeline", Written(w => OtioFormat.Write(w, s_timeline)), t => OtioFormat.Read(new StringReader(t), name)),
            ("chart", s_chart, t => ChartReference.Parse(t, name)),
            ("pairs", "id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b,weight,label\na,g,0.1,0.2,0.3,0.4,0.5,0.6,1,\"x, \"\"y\"\"\"\nb,g,0.1,0.2,0.3,0.4,0.5,0.6,2,\n", t => PairsCsv.Read(new StringReader(t), name, SignalEncoding.Bt709, SignalEncoding.Bt709)),
        ];
    }

    private static string Written(Action<TextWriter> write)
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        write(text);
        return text.ToString();
    }
}
