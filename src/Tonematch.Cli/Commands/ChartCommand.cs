using System.CommandLine;
using System.Globalization;
using Tonematch.Charts;
using Tonematch.Matching;

namespace Tonematch.Cli.Commands;

/// <summary>tonematch chart: the known charts.</summary>
internal static class ChartCommand
{
    public static Command Create(Terminal terminal) => new("chart", "Lists, finds and prints colour charts.\nExample: tonematch chart list")
    {
        List(terminal),
    };

    private static Command List(Terminal terminal)
    {
        Option<bool> json = Inputs.Json();
        Command command = new("list", "Names the charts whose colours are known.\nExample: tonematch chart list --json") { json };
        command.SetAction(parsed =>
        {
            if (parsed.GetValue(json))
            {
                terminal.Line(MatchJson.Write(ChartReference.All.Select(c => new { c.Name, c.Title, c.Layout.Columns, c.Layout.Rows, c.Illuminant, c.Observer, c.Source, c.Note })).TrimEnd());
                return ExitCode.Done;
            }

            foreach (ChartReference c in ChartReference.All)
            {
                terminal.Line(string.Create(CultureInfo.InvariantCulture, $"{c.Name,-20} {c.Title}, {c.Layout.Columns} x {c.Layout.Rows}, {c.Illuminant}"));
            }

            return ExitCode.Done;
        });
        return command;
    }
}
