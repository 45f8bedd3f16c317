using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Matching.Requests;
using Tonematch.Media.Files;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Samples.Charts;

namespace Tonematch.Cli.Commands;

/// <summary>The options that say where in two clips corresponding colours are: shared by match, sample and check.</summary>
internal sealed class SamplingOptions
{
    private readonly Option<double?> _offset = Inputs.Offset();

    private readonly Option<string?> _at = new("--at")
    {
        Description = "Instants to compare, in the primary: seconds (12.48), HH:MM:SS.mmm or timecode HH:MM:SS:FF, with commas between.",
        HelpName = "TIME,TIME",
    };

    private readonly Option<SamplingMethod?> _method = Inputs.Method();

    private readonly Option<string?> _regions = new("--regions")
    {
        Description = "A JSON file of regions marked by hand (see docs/formats.md).",
        HelpName = "FILE",
    };

    private readonly Option<string[]> _region = new("--region")
    {
        Description = "A region in both pictures, NAME=x,y,width,height:x,y,width,height (primary:secondary), as shares 0..1 or in pixels. May be given again.",
        HelpName = "SPEC",
        DefaultValueFactory = _ => [],
    };

    private readonly Option<ChartReference?> _chart = new("--chart")
    {
        Description = "The chart that was filmed (chart24 when not said): tonematch chart list names them.",
        HelpName = "NAME",
        CustomParser = result =>
        {
            if (ChartReference.Find(result.Tokens[0].Value) is { } found)
            {
                return found;
            }

            result.AddError($"--chart: there is no chart '{result.Tokens[0].Value}'. Known: {string.Join(", ", ChartReference.All.Select(c => c.Name))}.");
            return null;
        },
    };

    private readonly Option<ImmutableArray<PicturePoint>?> _primaryCorners = Corners("--primary-chart", "primary");
    private readonly Option<ImmutableArray<PicturePoint>?> _secondaryCorners = Corners("--secondary-chart", "secondary");
    private readonly Option<SignalEncoding?> _primaryEncoding = Inputs.Encoding("--primary-encoding", "What the primary's code values mean");
    private readonly Option<SignalEncoding?> _secondaryEncoding = Inputs.Encoding("--secondary-encoding", "What the secondary's code values mean");
    private readonly SoundOptions _sound = new();

    public void AddTo(Command command)
    {
        foreach (Option option in (Option[])[_offset, _at, _method, _regions, _region, _chart, _primaryCorners, _secondaryCorners, _primaryEncoding, _secondaryEncoding])
        {
            command.Add(option);
        }

        _sound.AddTo(command);
    }

    /// <summary>Offsets, instants and places belong to one pair of clips.</summary>
    public void RefuseWhatNeedsOneSecondary(ParseResult parsed, int secondaries)
    {
        if (secondaries > 1)
        {
            foreach (Option option in (Option[])[_offset, _regions, _region, _primaryCorners, _secondaryCorners])
            {
                if (parsed.GetResult(option) is { Implicit: false })
                {
                    throw new WrongUseException($"{option.Name} belongs to one secondary: match the others by themselves.");
                }
            }
        }
    }

    public MatchRequest Read(ParseResult parsed, MatchRequest request)
    {
        ImmutableArray<RegionPair>.Builder regions = ImmutableArray.CreateBuilder<RegionPair>();
        if (parsed.GetValue(_regions) is { } file)
        {
            regions.AddRange(RegionsFile.Parse(TextInput.Read(file, "regions", RegionsFile.LargestLength), file));
        }

        foreach (string spec in parsed.GetValue(_region)!)
        {
            try
            {
                regions.Add(RegionPair.Parse(spec));
            }
            catch (UnusableInputException e)
            {
                throw new WrongUseException(e.Message);
            }
        }

        return _sound.Read(parsed, request with
        {
            OffsetSeconds = parsed.GetValue(_offset),
            At = [.. (parsed.GetValue(_at) ?? "").Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)],
            Method = parsed.GetValue(_method),
            Regions = regions.ToImmutable(),
            Chart = parsed.GetValue(_chart) ?? ChartReference.Chart24,
            PrimaryChartCorners = parsed.GetValue(_primaryCorners),
            SecondaryChartCorners = parsed.GetValue(_secondaryCorners),
            PrimaryEncoding = parsed.GetValue(_primaryEncoding),
            SecondaryEncoding = parsed.GetValue(_secondaryEncoding),
        });
    }

    private static Option<ImmutableArray<PicturePoint>?> Corners(string name, string whose) => new(name)
    {
        Description = $"The chart's four outer corners in the {whose}'s picture, x,y,x,y,x,y,x,y in pixels: any order round the chart.",
        HelpName = "CORNERS",
        CustomParser = result =>
        {
            string[] parts = result.Tokens[0].Value.Split(',');
            double[] values = [.. parts.Select(p => double.TryParse(p, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out double v) ? v : double.NaN)];
            if (values.Length != 8 || values.Any(v => !double.IsFinite(v)))
            {
                result.AddError($"{name} takes eight numbers x,y,x,y,x,y,x,y, not '{result.Tokens[0].Value}'.");
                return null;
            }

            return [.. Enumerable.Range(0, 4).Select(i => new PicturePoint(values[2 * i], values[(2 * i) + 1]))];
        },
    };
}
