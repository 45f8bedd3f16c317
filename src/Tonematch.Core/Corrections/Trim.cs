using System.Collections.Immutable;
using System.Globalization;

namespace Tonematch.Corrections;

/// <summary>
/// Changes made by hand after the match: a few numbers, each neutral at its default, applied to the matched colour in
/// the primary's encoding in this order: strength, light (exposure, warmth, green), contrast, saturation, black, skin.
/// </summary>
public sealed record Trim
{
    private const double WarmestMired = 60, GreenestDuv = 0.03;

    private readonly double _strength = 1;
    private readonly double _exposureStops;
    private readonly double _warmthMired;
    private readonly double _greenDuv;
    private readonly double _contrastPercent;
    private readonly double _saturationPercent;
    private readonly double _blackPercent;
    private readonly double _skinKept;

    /// <summary>No changes.</summary>
    public static Trim None { get; } = new();

    /// <summary>The numbers' names in files, with the smallest and the largest allowed value of each.</summary>
    public static ImmutableArray<(string Name, double Least, double Greatest)> Limits { get; } =
    [
        ("strength", 0, 1), ("exposure_stops", -3, 3), ("warmth_mired", -WarmestMired, WarmestMired), ("green_duv", -GreenestDuv, GreenestDuv),
        ("contrast_percent", -60, 60), ("saturation_percent", -100, 100), ("black_percent", -10, 10), ("skin_kept", 0, 1),
    ];

    /// <summary>How much of the match is applied: 0 is as recorded, 1 the whole match.</summary>
    public double Strength { get => _strength; init => _strength = Checked(value, 0); }

    /// <summary>Exposure change in stops, -3..3.</summary>
    public double ExposureStops { get => _exposureStops; init => _exposureStops = Checked(value, 1); }

    /// <summary>White point shift along the Planckian locus, mired, -60..60; above 0 is warmer (yellower).</summary>
    public double WarmthMired { get => _warmthMired; init => _warmthMired = Checked(value, 2); }

    /// <summary>
    /// White point shift across the Planckian locus, CIE 1960 Duv, -0.03..0.03; above 0 is greener, below 0 more
    /// magenta.
    /// </summary>
    public double GreenDuv { get => _greenDuv; init => _greenDuv = Checked(value, 3); }

    /// <summary>Change of the slope at middle grey, percent, -60..60; black, middle grey and white stay.</summary>
    public double ContrastPercent { get => _contrastPercent; init => _contrastPercent = Checked(value, 4); }

    /// <summary>Change of the distance from grey, percent, -100 (grey) to 100 (double).</summary>
    public double SaturationPercent { get => _saturationPercent; init => _saturationPercent = Checked(value, 5); }

    /// <summary>Shift of black, percent of the signal, -10..10; white stays.</summary>
    public double BlackPercent { get => _blackPercent; init => _blackPercent = Checked(value, 6); }

    /// <summary>How far skin colours keep the match's result, 0..1.</summary>
    public double SkinKept { get => _skinKept; init => _skinKept = Checked(value, 7); }

    /// <summary>Whether nothing is changed.</summary>
    public bool IsNone => this with { SkinKept = 0 } == None;

    /// <summary>The numbers by their names in files, in the order of <see cref="Limits"/>.</summary>
    public IReadOnlyList<(string Name, double Value)> Numbers =>
    [
        ("strength", Strength), ("exposure_stops", ExposureStops), ("warmth_mired", WarmthMired), ("green_duv", GreenDuv),
        ("contrast_percent", ContrastPercent), ("saturation_percent", SaturationPercent), ("black_percent", BlackPercent), ("skin_kept", SkinKept),
    ];

    /// <summary>Makes a trim from named numbers; all others stay neutral.</summary>
    /// <exception cref="ArgumentException">A name is unknown or given twice, or a number is out of its range; the message says which.</exception>
    public static Trim Of(IEnumerable<(string Name, double Value)> numbers)
    {
        ArgumentNullException.ThrowIfNull(numbers);
        double[] all = [.. None.Numbers.Select(n => n.Value)];
        HashSet<string> seen = [];
        foreach ((string name, double value) in numbers)
        {
            int i = Index(name);
            if (i < 0 || !seen.Add(name))
            {
                throw new ArgumentException(i < 0
                    ? $"A trim has no '{name}'. Known: {string.Join(", ", Limits.Select(l => l.Name))}."
                    : $"'{name}' is given twice.");
            }

            all[i] = value;
        }

        return new Trim
        {
            Strength = all[0],
            ExposureStops = all[1],
            WarmthMired = all[2],
            GreenDuv = all[3],
            ContrastPercent = all[4],
            SaturationPercent = all[5],
            BlackPercent = all[6],
            SkinKept = all[7],
        };
    }

    /// <summary>
    /// The changes in words: 'exposure +0.30 stop, 12 mired warmer'; 'nothing' for <see cref="None"/>.
    /// </summary>
    public override string ToString()
    {
        List<string> words = [];
        void Add(bool isChanged, FormattableString text)
        {
            if (isChanged)
            {
                words.Add(text.ToString(CultureInfo.InvariantCulture));
            }
        }

        Add(Strength != 1, $"{100 * Strength:0} % of the match");
        Add(ExposureStops != 0, $"exposure {ExposureStops:+0.00;-0.00;0.00} stop");
        Add(WarmthMired != 0, $"{Math.Abs(WarmthMired):0.#} mired {(WarmthMired > 0 ? "warmer" : "cooler")}");
        Add(GreenDuv != 0, $"{1000 * Math.Abs(GreenDuv):0.#} thousandths {(GreenDuv > 0 ? "greener" : "more magenta")}");
        Add(ContrastPercent != 0, $"contrast {ContrastPercent:+0;-0;0} %");
        Add(SaturationPercent != 0, $"saturation {SaturationPercent:+0;-0;0} %");
        Add(BlackPercent != 0, $"black {BlackPercent:+0.0;-0.0;0.0} %");
        Add(SkinKept != 0 && words.Count > 0, $"skin kept by {100 * SkinKept:0} %");
        return words.Count == 0 ? "nothing" : string.Join(", ", words);
    }

    private static int Index(string name)
    {
        for (int i = 0; i < Limits.Length; i++)
        {
            if (Limits[i].Name == name)
            {
                return i;
            }
        }

        return -1;
    }

    private static double Checked(double value, int index)
    {
        (string name, double least, double greatest) = Limits[index];
        return value >= least && value <= greatest
            ? value
            : throw new ArgumentException(string.Create(CultureInfo.InvariantCulture, $"{name} must be from {least} to {greatest}, not {value}."));
    }
}
