using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Samples;

namespace Tonematch.Cli.Commands;

/// <summary>Arguments and options that several commands share, each with one meaning everywhere.</summary>
internal static class Inputs
{
    public static Argument<string> Primary() => new("primary") { Description = "The clip (or still picture) whose colours are right: camera A." };

    public static Argument<string> Secondary() => new("secondary") { Description = "The clip (or still picture) to be matched: camera B." };

    /// <summary>Clips or folders: two at least, or cameras by --camera, which <see cref="RequireTwo"/> checks.</summary>
    public static (Argument<string?> Primary, Argument<string[]> Secondaries) PrimaryAndSecondaries() => (
        new Argument<string?>("primary") { Description = "The clip, still picture or folder of clips whose colours are right: camera A.", Arity = ArgumentArity.ZeroOrOne },
        new Argument<string[]>("secondary") { Description = "The clips, or folders of clips, to be matched, one or more: cameras B, C, ...", Arity = ArgumentArity.ZeroOrMore });

    public static void RequireTwo(Command command, Argument<string?> primary, Argument<string[]> secondaries, Option<string[]> cameras) =>
        command.Validators.Add(result =>
        {
            int places = (result.GetValue(primary) is null ? 0 : 1) + (result.GetValue(secondaries)?.Length ?? 0), named = result.GetValue(cameras)?.Length ?? 0;
            if (places + named < 2)
            {
                result.AddError("Give the primary and at least one secondary: two clips, or a folder of clips for each camera.");
            }
        });

    public static Option<string> OutFolder(string what) => new("--out") { Description = what, HelpName = "DIR", Required = true };

    public static Option<string> OutFile(string what) => new("--out") { Description = what, HelpName = "FILE", Required = true };

    public static Option<bool> Json() => new("--json") { Description = "Prints JSON and nothing else on standard output." };

    public static Option<bool> Force() => new("--force") { Description = "Overwrites result files that exist. Inputs are never overwritten." };

    public static Option<double?> Tolerance(string what) => Number("--tolerance", "DELTAE", what, v => v > 0, "a Delta E above 0, e.g. 2.0");

    public static Option<int> LutSize() => new("--lut-size")
    {
        Description = "Nodes a side of correction.cube: 17, 33 or 65 are usual.",
        HelpName = "N",
        DefaultValueFactory = _ => 33,
        CustomParser = ReadLutSize,
    };

    public static int ReadLutSize(ArgumentResult result) =>
        int.TryParse(result.Tokens[0].Value, NumberStyles.None, CultureInfo.InvariantCulture, out int n) && n is >= 2 and <= 129
            ? n
            : Refuse<int>(result, "a whole number from 2 to 129, usually 33");

    public static Option<CorrectionKind?> Model() => new("--model")
    {
        Description = $"The kind of correction: auto, {string.Join(", ", CorrectionKinds.All.Select(k => k.Name()))}.",
        HelpName = "NAME",
        CustomParser = result => result.Tokens[0].Value == "auto" ? null
            : CorrectionKinds.TryParse(result.Tokens[0].Value, out CorrectionKind? kind) ? kind
            : Refuse<CorrectionKind?>(result, $"one of auto, {string.Join(", ", CorrectionKinds.All.Select(k => k.Name()))}"),
    };

    public static Option<SamplingMethod?> Method() => new("--method")
    {
        Description = "Where corresponding colours come from: auto, chart, overlap, regions, overall.",
        HelpName = "NAME",
        CustomParser = result => result.Tokens[0].Value switch
        {
            "auto" => null,
            "chart" => SamplingMethod.Chart,
            "overlap" => SamplingMethod.Overlap,
            "regions" => SamplingMethod.Regions,
            "overall" => SamplingMethod.Overall,
            _ => Refuse<SamplingMethod?>(result, "one of auto, chart, overlap, regions, overall"),
        },
    };

    /// <summary>The offset by hand; null means it is found by the sound.</summary>
    public static Option<double?> Offset() => Number("--offset", "SECONDS|auto",
        "How much later the same moment comes in the secondary (t_secondary = t_primary + offset); auto finds it by the sound.",
        _ => true, "a number of seconds such as -3.48, or auto", allowAuto: true);

    public static Option<SignalEncoding?> Encoding(string name, string whose) => new(name)
    {
        Description = $"{whose}: {string.Join(", ", SignalEncoding.All.Select(e => e.Name))}. Without it the clip's tags decide.",
        HelpName = "ENC",
        CustomParser = result => SignalEncoding.TryParse(result.Tokens[0].Value, out SignalEncoding? encoding)
            ? encoding
            : Refuse<SignalEncoding?>(result, $"one of {string.Join(", ", SignalEncoding.All.Select(e => e.Name))}"),
    };

    public static Option<double?> Number(
        string name, string helpName, string description, Func<double, bool> allowed, string what, bool allowAuto = false) => new(name)
        {
            Description = description,
            HelpName = helpName,
            CustomParser = result =>
            {
                string text = result.Tokens[0].Value;
                if (allowAuto && text == "auto")
                {
                    return null;
                }

                const NumberStyles style = NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint;
                return double.TryParse(text, style, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value) && allowed(value)
                    ? value
                    : Refuse<double?>(result, what);
            },
        };

    public static T Refuse<T>(ArgumentResult result, string what)
    {
        string option = result.Parent is OptionResult o ? o.Option.Name : result.Argument.Name;
        result.AddError($"{option} takes {what}, not '{result.Tokens[0].Value}'.");
        return default!;
    }
}
