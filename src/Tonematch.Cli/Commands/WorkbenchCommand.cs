using System.CommandLine;
using System.Diagnostics;
using System.Globalization;
using Tonematch.Workbench;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch workbench: the local page where a match is seen, changed and handed over.</summary>
internal static class WorkbenchCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string[]> places = new("place")
        {
            Description = "Folders of clips, or clips: what the page may open. The default is the current folder.",
            Arity = ArgumentArity.ZeroOrMore,
        };
        Option<string> folder = new("--out")
        {
            Description = "The folder for the session and everything that is handed over.",
            HelpName = "DIR",
            DefaultValueFactory = _ => "match",
        };
        Option<bool> noBrowser = new("--no-browser") { Description = "Prints the address without opening a browser." };
        Option<int> port = new("--port")
        {
            Description = "The port on this machine; 0 chooses a free one.",
            HelpName = "N",
            CustomParser = result => int.TryParse(result.Tokens[0].Value, NumberStyles.None, CultureInfo.InvariantCulture, out int n) && n <= 65535
                ? n
                : Inputs.Refuse<int>(result, "a whole number from 0 to 65535"),
        };
        Command command = new("workbench",
            "Opens a page in your browser where the match is seen, changed and handed over. Nothing leaves this machine.\nExample: tonematch workbench clips --out match")
        {
            places, folder, noBrowser, port,
        };
        command.SetAction(async (parsed, cancel) =>
        {
            string[] given = parsed.GetValue(places) is { Length: > 0 } some ? some : ["."];
            await using WorkbenchServer server = await WorkbenchServer.StartAsync(
                new WorkbenchOptions([.. given], parsed.GetRequiredValue(folder)) { Port = parsed.GetValue(port) }, SecondaryFolders.For, cancel);
            Uri address = server.NewAddress();
            terminal.Line("The workbench is open at (good for one browser, once):");
            terminal.Line($"  {address}");
            terminal.Line("Ctrl-C ends it. Enter makes a new address.");
            terminal.Flush();
            if (!parsed.GetValue(noBrowser))
            {
                Open(terminal, address);
            }

            if (!Console.IsInputRedirected)
            {
                _ = Task.Run(() => NewAddresses(terminal, server), CancellationToken.None);
            }

            await server.RunAsync(cancel);
            terminal.Line("The workbench is closed. Your decisions are in workbench.json; opening it again continues from there.");
            return ExitCode.Done;
        });
        return command;
    }

    private static void Open(Terminal terminal, Uri address)
    {
        try
        {
            using Process? browser = Process.Start(new ProcessStartInfo(address.AbsoluteUri) { UseShellExecute = true });
        }
        catch (Exception e) when (e is System.ComponentModel.Win32Exception or InvalidOperationException or PlatformNotSupportedException)
        {
            terminal.Note("No browser could be opened from here: open the address above by hand.");
        }
    }

    private static void NewAddresses(Terminal terminal, WorkbenchServer server)
    {
        while (Console.ReadLine() is not null)
        {
            terminal.Line($"  {server.NewAddress()}");
            terminal.Flush();
        }
    }
}
