using System.CommandLine;
using Tonematch.Matching;
using Tonematch.Media.Clips;
using Tonematch.Sync;

namespace Tonematch.Cli.Commands;

/// <summary>tonematch sync: how recordings lie in time.</summary>
internal static class SyncCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string> primary = Inputs.Primary();
        Argument<string[]> secondaries = Inputs.Secondaries();
        Option<bool> json = Inputs.Json();
        SoundOptions sound = new();
        Command command = new("sync", "Says how recordings lie in time: t_secondary = t_primary + offset.\nExample: tonematch sync wide.mp4 close.mp4 --json")
        {
            primary, secondaries, json,
        };
        sound.AddTo(command);
        command.SetAction(async (parsed, cancel) =>
        {
            List<object> results = [];
            foreach (string secondary in parsed.GetRequiredValue(secondaries))
            {
                MatchRequest request = sound.Read(parsed, new MatchRequest(parsed.GetRequiredValue(primary), secondary));
                (ClipInfo a, ClipInfo b) = await MatchPipeline.ProbeAsync(request, cancel);
                SyncFound found = await terminal.WithProgressAsync(async progress =>
                {
                    progress.Report(new("Listening to both recordings", 0));
                    return await SyncStage.ConfirmedAsync((await SyncStage.RunAsync(a, b, request, cancel)).Found, a, b, cancel);
                });
                results.Add(new { Primary = a.Path, Secondary = b.Path, Sync = MatchJson.Sync(found) });
                if (!parsed.GetValue(json))
                {
                    terminal.Line($"{Path.GetFileName(b.Path)}: {MatchWords.InTime(found)}");
                }

                foreach (string warning in found.Warnings)
                {
                    terminal.Warning(warning);
                }
            }

            if (parsed.GetValue(json))
            {
                terminal.Line(MatchJson.Write(results.Count == 1 ? results[0] : results).TrimEnd());
            }

            return ExitCode.Done;
        });
        return command;
    }
}
