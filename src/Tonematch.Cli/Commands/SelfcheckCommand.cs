using System.CommandLine;
using Tonematch.Exports;
using Tonematch.Media.Files;
using Tonematch.Media.Processes;
using Tonematch.Vision;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch selfcheck: does this machine have everything the job needs?</summary>
internal static class SelfcheckCommand
{
    public static Command Create(Terminal terminal)
    {
        Option<bool> json = Inputs.Json();
        Command command = new("selfcheck",
            "Shows which required parts this machine has, what is missing, and the command to install it; exit code 3 when something is missing.\nExample: tonematch selfcheck") { json };
        command.SetAction(async (parsed, cancel) =>
        {
            SelfcheckReport report = SelfcheckReport.Of(
                await FfmpegCheck.RunAsync(cancel), NativeVision.Library, TemporaryFolder.Look(), ThisSystem());
            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(report));
                return report.IsWhole ? ExitCode.Done : ExitCode.UnusableInput;
            }

            foreach (SelfcheckPart part in report.Parts)
            {
                terminal.Line($"{(part.IsHere ? "ok" : "MISSING"),-8} {part.Name,-18} {part.Text}");
            }

            if (report.IsWhole)
            {
                return ExitCode.Done;
            }

            terminal.Error("This machine cannot do the whole job.");
            if (report.Remedy is { } remedy)
            {
                terminal.Error($"To install what is missing: {remedy}");
            }

            return ExitCode.UnusableInput;
        });
        return command;
    }

    private static PackageSystem ThisSystem() =>
        OperatingSystem.IsWindows() ? PackageSystem.Winget
        : OperatingSystem.IsMacOS() ? PackageSystem.Brew
        : !File.Exists("/usr/bin/apt-get") ? PackageSystem.Unknown
        : Environment.UserName == "root" ? PackageSystem.AptAsRoot
        : PackageSystem.Apt;
}
