using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Exports.Corrections;
using Tonematch.Formats.Inputs;
using Tonematch.Matching.Requests;
using Tonematch.Media.Files;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Samples.Charts;

namespace Tonematch.Cli.Commands;

/// <summary>
/// The options for where to find corresponding colours in two clips, shared by match, sample and check.
/// </summary>
internal sealed class SamplingOptions
{
    // Smallest area spanned by four corners, in pixels; smaller ones are a mistake, not a chart.
    private const double SmallestChart = 100;

    private readonly Option<OrAuto<double>> _offset = Inputs.Offset();

    private readonly Option<(string Primary, string Secondary)?> _sameMoment = Inputs.SameMoment();

    private readonly Option<string[]> _at = new("--at")
    {
        Description = "Instants to compare, in camera A: seconds (12.48), HH:MM:SS.mmm or timecode HH:MM:SS:FF, separated by commas.",
        HelpName = "TIME,TIME",
        DefaultValueFactory = _ => [],
        CustomParser = result =>
        {
            string[] times = result.Tokens[0].Value.Split(',', StringSplitOptions.TrimEntries);
            foreach (string time in times)
            {
                if (Inputs.WhyNoTime(time) is { } error)
                {
                    result.AddError($"--at: {error}");
                    break;
                }
            }

            return times;
        },
    };

    private readonly Option<OrAuto<SamplingMethod>> _method = Inputs.Method();

    private readonly Option<string?> _regions = new("--regions")
    {
        Description = "A JSON file of regions marked by hand (see docs/formats.md).",
        HelpName = "FILE",
    };

    private readonly Option<string[]> _region = new("--region")
    {
        Description = "A region in both pictures, NAME=x,y,width,height:x,y,width,height (camera A:camera B), as shares 0..1 or in pixels. May be given again.",
        HelpName = "SPEC",
        DefaultValueFactory = _ => [],
    };

    private readonly Option<ChartReference?> _chart = new("--chart")
    {
        Description = "The chart that was filmed (default chart24); tonematch chart list names all charts.",
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

    private readonly Option<RegionShape?> _primaryCorners = Corners("--primary-chart", "camera A");
    private readonly Option<RegionShape?> _secondaryCorners = Corners("--secondary-chart", "camera B");
    private readonly Option<SignalEncoding?> _primaryEncoding = Inputs.Encoding("--primary-encoding", "The encoding of camera A's code values");
    private readonly Option<SignalEncoding?> _secondaryEncoding = Inputs.Encoding("--secondary-encoding", "The encoding of camera B's code values");
    private readonly Option<string?> _primaryInput = Input("--primary-input", "camera A", "primary");
    private readonly Option<string?> _secondaryInput = Input("--secondary-input", "camera B", "secondary");
    private readonly SoundOptions _sound = new();

    public void AddTo(Command command)
    {
        foreach (Option option in (Option[])[_offset, _sameMoment, _at, _method, _regions, _region, _chart, _primaryCorners, _secondaryCorners, _primaryEncoding, _secondaryEncoding, _primaryInput, _secondaryInput])
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
            foreach (Option option in (Option[])[_offset, _sameMoment, _regions, _region, _primaryCorners, _secondaryCorners, _secondaryInput])
            {
                if (parsed.GetResult(option) is { Implicit: false })
                {
                    throw new WrongUseException($"{option.Name} applies to one camera B only: match the others separately.");
                }
            }
        }
    }

    /// <summary>
    /// With whole cameras, the program finds out which clips to compare, so a file for one of two clips makes no sense
    /// there.
    /// </summary>
    public void RefuseInputsOfCameras(ParseResult parsed)
    {
        if (parsed.GetValue(_primaryInput) is not null)
        {
            throw new WrongUseException($"{_primaryInput.Name} is for two clips, not for whole cameras: match the clips separately.");
        }
    }

    /// <summary>Whether camera B has an input LUT.</summary>
    public bool HasSecondaryInput(ParseResult parsed) => parsed.GetValue(_secondaryInput) is not null;

    /// <summary>The files named in the options, which are inputs and therefore never overwritten.</summary>
    public IReadOnlyList<string> Files(ParseResult parsed) =>
        [.. ((Option<string?>[])[_regions, _primaryInput, _secondaryInput]).Select(parsed.GetValue).OfType<string>()];

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
            OffsetSeconds = parsed.GetValue(_offset).Chosen,
            SameMoment = parsed.GetValue(_sameMoment),
            At = [.. parsed.GetValue(_at)!],
            Method = parsed.GetValue(_method).Chosen,
            Regions = regions.ToImmutable(),
            Chart = parsed.GetValue(_chart) ?? ChartReference.Chart24,
            Primary = request.Primary with { ChartCorners = parsed.GetValue(_primaryCorners), Encoding = parsed.GetValue(_primaryEncoding), Input = Read(_primaryInput) },
            Secondary = request.Secondary with { ChartCorners = parsed.GetValue(_secondaryCorners), Encoding = parsed.GetValue(_secondaryEncoding), Input = Read(_secondaryInput) },
        });

        InputLut? Read(Option<string?> option) => parsed.GetValue(option) is { } path ? LutFiles.ReadInput(path) : null;
    }

    private static Option<string?> Input(string name, string whose, string side) => new(name)
    {
        Description = $"A .cube or .clf that converts {whose}'s recording (for example from a log profile) to bt709, or to the encoding given by --{side}-encoding; applied before its colours are used{(side == "secondary" ? ", and part of the correction" : "")}.",
        HelpName = "FILE",
    };

    private static Option<RegionShape?> Corners(string name, string whose) => new(name)
    {
        Description = $"The chart's four outer corners in {whose}'s picture, x,y,x,y,x,y,x,y in pixels, in any order around the chart.",
        HelpName = "CORNERS",
        CustomParser = result =>
        {
            string[] parts = result.Tokens[0].Value.Split(',');
            double[] values = [.. parts.Select(p => double.TryParse(p, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out double v) ? v : double.NaN)];
            if (values.Length != 8 || values.Any(v => !double.IsFinite(v) || v < 0))
            {
                result.AddError($"{name} takes eight numbers from 0 up, x,y,x,y,x,y,x,y, not '{result.Tokens[0].Value}'.");
                return null;
            }

            ImmutableArray<PicturePoint> corners = [.. Enumerable.Range(0, 4).Select(i => new PicturePoint(values[2 * i], values[(2 * i) + 1]))];
            if (LargestTriangle(corners) < SmallestChart / 2)
            {
                result.AddError($"{name}: the four corners '{result.Tokens[0].Value}' lie on one point or one line. Give the chart's four outer corners.");
            }

            return new RegionShape(corners);
        },
    };

    // Of four corners in any order, the largest triangle has at least half of their total area.
    private static double LargestTriangle(ImmutableArray<PicturePoint> corners) => Enumerable.Range(0, 4).Max(without =>
    {
        PicturePoint[] t = [.. corners.Where((_, i) => i != without)];
        return 0.5 * Math.Abs(((t[1].X - t[0].X) * (t[2].Y - t[0].Y)) - ((t[2].X - t[0].X) * (t[1].Y - t[0].Y)));
    });
}
