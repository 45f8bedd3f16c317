using System.Globalization;
using Tonematch.Formats;
using Tonematch.Matching.Outcome;
using Tonematch.Media.Clips;

namespace Tonematch.Exports.Products;

/// <summary>The numbers and formulas for people, and the filter for FFmpeg.</summary>
internal sealed class NumbersProduct : Product
{
    /// <inheritdoc/>
    public override string Name => "correction.txt";

    /// <inheritdoc/>
    public override string Description => "its numbers and formulas, and the filter for FFmpeg";

    /// <inheritdoc/>
    public override string Make(MatchOutcome outcome, ProductContext context)
    {
        StringWriter text = new(CultureInfo.InvariantCulture);
        if (outcome.WithInput is { Input.Path: var input })
        {
            text.Write($"These numbers act on what {Path.GetFileName(input)} makes of camera B's recording; correction.cube and correction.clf hold both.\n\n");
        }

        NumbersText.Write(text, outcome.Chosen.Candidate.Correction);
        if (outcome.Clips?.Secondary is { } clip && clip.Matrix.Code is 1 or 5 or 6 or 9)
        {
            text.Write($"\nAs an FFmpeg filter for camera B (ffmpeg -i IN -/filter:v FILE ... with this line in FILE; before FFmpeg 7 the option is -filter_script:v):\n{FilterText.ForFfmpeg(
                context.PathOf("correction.cube"), clip.Matrix.Code, clip.Range == SignalRange.Full, clip.PixelFormat)}\n");
        }

        return text.ToString();
    }
}
