using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Cli.Commands;

/// <summary>Arguments and options that several commands share, each with one meaning everywhere.</summary>
internal static class Inputs
{
    public static Argument<string> Primary() => new("primary") { Description = "The clip (or still picture) whose colours are right: camera A." };

    public static Argument<string> Secondary() => new("secondary") { Description = "The clip (or still picture) to be matched: camera B." };

    /// <summary>
    /// Clips or folders: at least two, or cameras given with --camera, which <see cref="RequireTwo"/> checks.
    /// </summary>
    public static (Argument<string?> Primary, Argument<string[]> Secondaries) PrimaryAndSecondaries() => (
        new Argument<string?>("primary") { Description = "The clip, still picture or folder of clips whose colours are right: camera A.", Arity = ArgumentArity.ZeroOrOne },
        new Argument<string[]>("secondary") { Description = "The clips, or folders of clips, to be matched, one or more: cameras B, C, ...", Arity = ArgumentArity.ZeroOrMore });

    public static void RequireTwo(Command command, Argument<string?> primary, Argument<string[]> secondaries, Option<string[]> cameras, Option<string?>? inPlace = null) =>
        command.Validators.Add(result =>
        {
            int places = (result.GetValue(primary) is null ? 0 : 1) + (result.GetValue(secondaries)?.Length ?? 0), named = result.GetValue(cameras)?.Length ?? 0;
            if (places + named < 2 && (inPlace is null || result.GetValue(inPlace) is null))
            {
                result.AddError("Give two clips, camera A's and camera B's, or a folder of clips for each camera.");
            }
        });

    public static Option<string> OutFolder(string what) => new("--out") { Description = what, HelpName = "DIR", Required = true };

    public static Option<string> OutFile(string what) => new("--out") { Description = what, HelpName = "FILE", Required = true };

    public static Option<bool> Json() => new("--json") { Description = "Prints JSON and nothing else on standard output." };

    public static Option<bool> Force() => new("--force") { Description = "Overwrites result files that exist. Inputs are never overwritten." };

    public static Option<bool> EvenSo() => new("--even-so") { Description = "Writes the correction even if the verdict is 'do not use it' (exit code 4 either way; the report is always written)." };

    public static Option<double?> Tolerance(string what) => Number("--tolerance", "DELTAE", what, v => v > 0, "a Delta E above 0, e.g. 2.0");

    public static Option<int> LutSize() => new("--lut-size")
    {
        Description = "Nodes per side of correction.cube: usually 17, 33 or 65.",
        HelpName = "N",
        DefaultValueFactory = _ => 33,
        CustomParser = ReadLutSize,
    };

    public static int ReadLutSize(ArgumentResult result) =>
        int.TryParse(result.Tokens[0].Value, NumberStyles.None, CultureInfo.InvariantCulture, out int n) && n is >= 2 and <= 129
            ? n
            : Refuse<int>(result, "a whole number from 2 to 129, usually 33");

    /// <summary>The kind of correction by name; auto leaves the choice to the fit.</summary>
    public static Option<OrAuto<CorrectionKind>> Model() => new("--model")
    {
        Description = $"The kind of correction: auto, {string.Join(", ", CorrectionKinds.All.Select(k => k.Name()))}.",
        HelpName = "NAME",
        CustomParser = OrAuto.Parser(
            text => CorrectionKinds.TryParse(text, out CorrectionKind? kind) ? kind : null,
            $"one of auto, {string.Join(", ", CorrectionKinds.All.Select(k => k.Name()))}"),
    };

    /// <summary>Where corresponding colours come from; auto uses the best method available.</summary>
    public static Option<OrAuto<SamplingMethod>> Method() => new("--method")
    {
        Description = "Where corresponding colours come from: auto, chart, overlap, regions, overall.",
        HelpName = "NAME",
        CustomParser = OrAuto.Parser<SamplingMethod>(
            text => text switch
            {
                "chart" => SamplingMethod.Chart,
                "overlap" => SamplingMethod.Overlap,
                "regions" => SamplingMethod.Regions,
                "overall" => SamplingMethod.Overall,
                _ => null,
            },
            "one of auto, chart, overlap, regions, overall"),
    };

    /// <summary>The offset in seconds, given by hand; auto finds it from the sound.</summary>
    public static Option<OrAuto<double>> Offset() => new("--offset")
    {
        Description = "How many seconds later the same moment comes in camera B's clip; negative: earlier. auto finds it from the sound.",
        HelpName = "SECONDS|auto",
        CustomParser = OrAuto.Parser(ReadNumber, "a number of seconds such as -3.48, or auto"),
    };

    /// <summary>One moment in both clips, as the user wrote it, found by eye if nothing else works.</summary>
    public static Option<(string Primary, string Secondary)?> SameMoment() => new("--same-moment")
    {
        Description = "The times at which camera A and camera B show the same moment, found by eye: seconds, HH:MM:SS.mmm or timecode, e.g. 12.4,5.0.",
        HelpName = "A,B",
        CustomParser = result =>
        {
            string[] times = result.Tokens[0].Value.Split(',', StringSplitOptions.TrimEntries);
            if (times.Length != 2)
            {
                return Refuse<(string, string)?>(result, "two times separated by a comma, camera A's first, e.g. 12.4,5.0");
            }

            foreach (string time in times)
            {
                if (WhyNoTime(time) is { } error)
                {
                    result.AddError($"--same-moment: {error}");
                }
            }

            return (times[0], times[1]);
        },
    };

    /// <summary>
    /// What is wrong with a time; null if nothing is. Timecode frames depend on the clip's rate, which is not known
    /// yet, so any rate is used here.
    /// </summary>
    public static string? WhyNoTime(string time)
    {
        const double fastest = 120, fastestDropFrame = 60000.0 / 1001;
        return ClockTime.TryParse(time, time.Contains(';', StringComparison.Ordinal) ? fastestDropFrame : fastest, out _, out string? error) ? null : error;
    }

    public static Option<SignalEncoding?> Encoding(string name, string whose) => new(name)
    {
        Description = $"{whose}: {string.Join(", ", SignalEncoding.All.Select(e => e.Name))}. The default is taken from the clip's tags.",
        HelpName = "ENC",
        CustomParser = result => SignalEncoding.TryParse(result.Tokens[0].Value, out SignalEncoding? encoding)
            ? encoding
            : Refuse<SignalEncoding?>(result, $"one of {string.Join(", ", SignalEncoding.All.Select(e => e.Name))}"),
    };

    /// <summary>A finite number that satisfies <paramref name="allowed"/>; null if the option is left out.</summary>
    public static Option<double?> Number(string name, string helpName, string description, Func<double, bool> allowed, string what) => new(name)
    {
        Description = description,
        HelpName = helpName,
        CustomParser = result => ReadNumber(result.Tokens[0].Value) is { } value && allowed(value) ? value : Refuse<double?>(result, what),
    };

    public static T Refuse<T>(ArgumentResult result, string what)
    {
        string option = result.Parent is OptionResult o ? o.Option.Name : result.Argument.Name;
        result.AddError($"{option} takes {what}, not '{result.Tokens[0].Value}'.");
        return default!;
    }

    private static double? ReadNumber(string text) =>
        double.TryParse(text, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value)
            ? value
            : null;
}
