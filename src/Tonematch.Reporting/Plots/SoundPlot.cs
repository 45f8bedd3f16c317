using System.Globalization;
using System.Text;
using Tonematch.Sync.Sound;

namespace Tonematch.Reporting.Plots;

/// <summary>
/// Both sounds around one moment on one time line: the primary above it, the secondary mirrored below, so that neither
/// hides the other and simultaneous sounds line up vertically.
/// </summary>
internal static class SoundPlot
{
    private const int Columns = 300;

    public static Html Of(ClearMoment sound)
    {
        double from = Math.Max(sound.Primary.StartSeconds, sound.Secondary.StartSeconds);
        double to = Math.Min(sound.Primary.StartSeconds + sound.Primary.DurationSeconds, sound.Secondary.StartSeconds + sound.Secondary.DurationSeconds);
        if (!(to > from))
        {
            return Html.None;
        }

        // The first milliseconds of a clap must coincide.
        PlotFrame frame = new(250, (Math.Max(-20, 1000 * (from - sound.MomentSeconds)), Math.Min(60, 1000 * (to - sound.MomentSeconds))), (-1.05, 1.05), "ms around the moment", "camera B | camera A") { XTicks = 6, YTicks = 4 };
        Html primary = Html.Of($"<path class=\"band\" d=\"{Half(sound.Primary, frame, sound.MomentSeconds, 1)}\"/>");
        Html secondary = Html.Of($"<path class=\"bar\" d=\"{Half(sound.Secondary, frame, sound.MomentSeconds, -1)}\"/>");
        Html moment = Html.Of($"<path class=\"ideal\" d=\"M{frame.X(0):0.#} {PlotFrame.Top}V{frame.Bottom}\"/>");
        return Figure.Of(
            "Both sounds at one moment",
            "Above the line camera A, mirrored below it camera B, moved by the offset found. A clap or a consonant must begin at the same place in both.",
            frame.Svg("sound", "Loudness of two sounds, one above the other",
                FormattableString.Invariant($"Sound of both recordings from {from:F3} to {to:F3} s of camera A, each scaled to its own peak."), Html.Join([primary, secondary, moment])),
            new("<li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"band\" d=\"M1 2H11V10H1z\"/></svg> camera A</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"bar\" d=\"M1 2H11V10H1z\"/></svg> camera B, moved</li>"),
            "plot");
    }

    // The loudest sample of each column, as a shape on one side of the line.
    private static string Half(MonoSound sound, PlotFrame frame, double moment, int side)
    {
        float[] samples = sound.ToArray();
        double[] loudest = new double[Columns];
        for (int i = 0; i < samples.Length; i++)
        {
            double t = 1000 * (sound.StartSeconds + ((double)i / sound.SampleRate) - moment);
            int column = (int)((t - frame.XRange.From) / (frame.XRange.To - frame.XRange.From) * Columns);
            if (t >= frame.XRange.From && column < Columns && float.IsFinite(samples[i]))
            {
                loudest[column] = Math.Max(loudest[column], Math.Abs(samples[i]));
            }
        }

        double peak = Math.Max(1e-9, loudest.Max());
        StringBuilder path = new(string.Create(CultureInfo.InvariantCulture, $"M{PlotFrame.Left} {frame.Y(0):0.#}"));
        for (int c = 0; c < Columns; c++)
        {
            double x = PlotFrame.Left + ((c + 0.5) / Columns * (frame.Right - PlotFrame.Left));
            path.Append(CultureInfo.InvariantCulture, $"L{x:0.#} {frame.Y(side * loudest[c] / peak):0.#}");
        }

        return path.Append(CultureInfo.InvariantCulture, $"L{frame.Right} {frame.Y(0):0.#}z").ToString();
    }
}
