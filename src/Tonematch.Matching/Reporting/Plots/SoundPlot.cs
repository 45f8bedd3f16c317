using System.Globalization;
using System.Text;
using Tonematch.Sync;

namespace Tonematch.Matching.Reporting.Plots;

/// <summary>Both sounds laid over each other around one moment.</summary>
internal static class SoundPlot
{
    private const int Columns = 300;

    public static Html Of(ReportSound sound)
    {
        double from = Math.Max(sound.Primary.StartSeconds, sound.Secondary.StartSeconds);
        double to = Math.Min(sound.Primary.StartSeconds + sound.Primary.DurationSeconds, sound.Secondary.StartSeconds + sound.Secondary.DurationSeconds);
        if (!(to > from))
        {
            return Html.None;
        }

        PlotFrame frame = new(230, (1000 * (from - sound.MomentSeconds), 1000 * (to - sound.MomentSeconds)), (-1.05, 1.05), "ms around the moment", "level, own peak = 1") { XTicks = 6, YTicks = 4 };
        Html primary = Html.Of($"<path class=\"band\" d=\"{Envelope(sound.Primary, frame, sound.MomentSeconds, closed: true)}\"/>");
        Html secondary = Html.Of($"<path class=\"line thin\" d=\"{Envelope(sound.Secondary, frame, sound.MomentSeconds, closed: false)}\"/>");
        Html moment = Html.Of($"<path class=\"ideal\" d=\"M{frame.X(0):0.#} {PlotFrame.Top}V{frame.Bottom}\"/>");
        return Figure.Of(
            "Both sounds at one moment",
            "The secondary's sound is moved by the offset found. The strokes of a clap or a consonant must begin together.",
            frame.Svg("sound", "Two waveforms laid over each other",
                FormattableString.Invariant($"Sound of both recordings from {from:F3} to {to:F3} s of the primary, each scaled to its own peak."), Html.Join([primary, moment, secondary])),
            new("<li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"band\" d=\"M1 2H11V10H1z\"/></svg> primary</li><li><svg class=\"key\" viewBox=\"0 0 12 12\" aria-hidden=\"true\"><path class=\"line thin\" d=\"M1 8L4 3L7 9L11 4\"/></svg> secondary, moved</li>"),
            "plot wide");
    }

    // The lowest and highest sample of each column, as a closed shape or as one stroke down and up.
    private static string Envelope(MonoSound sound, PlotFrame frame, double moment, bool closed)
    {
        ReadOnlySpan<float> samples = sound.Samples;
        double[] low = new double[Columns], high = new double[Columns];
        Array.Fill(low, double.MaxValue);
        Array.Fill(high, double.MinValue);
        double peak = 1e-9;
        for (int i = 0; i < samples.Length; i++)
        {
            double t = 1000 * (sound.StartSeconds + ((double)i / sound.SampleRate) - moment);
            int column = (int)((t - frame.XRange.From) / (frame.XRange.To - frame.XRange.From) * Columns);
            if (column is >= 0 and < Columns && float.IsFinite(samples[i]))
            {
                low[column] = Math.Min(low[column], samples[i]);
                high[column] = Math.Max(high[column], samples[i]);
                peak = Math.Max(peak, Math.Abs(samples[i]));
            }
        }

        int[] filled = [.. Enumerable.Range(0, Columns).Where(c => low[c] <= high[c])];
        if (filled.Length == 0)
        {
            return "";
        }

        StringBuilder path = new();
        double X(int column) => PlotFrame.Left + ((column + 0.5) / Columns * (frame.Right - PlotFrame.Left));
        void To(char verb, int column, double value) => path.Append(CultureInfo.InvariantCulture, $"{verb}{X(column):0.#} {frame.Y(value / peak):0.#}");
        To('M', filled[0], high[filled[0]]);
        foreach (int c in filled.Skip(1))
        {
            To('L', c, high[c]);
            if (!closed)
            {
                To('L', c, low[c]);
            }
        }

        if (closed)
        {
            foreach (int c in filled.Reverse())
            {
                To('L', c, low[c]);
            }

            path.Append('z');
        }

        return path.ToString();
    }
}
