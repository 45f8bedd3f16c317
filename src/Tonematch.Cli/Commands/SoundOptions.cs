using System.CommandLine;
using System.Globalization;
using Tonematch.Matching.Requests;

namespace Tonematch.Cli.Commands;

/// <summary>The sound options, shared by match, sample, check and sync.</summary>
internal sealed class SoundOptions
{
    private readonly Option<(int Primary, int Secondary)?> _tracks = new("--audio-track")
    {
        Description = "The sound tracks to use, camera A,camera B, counted from 1. The default is the loudest ones.",
        HelpName = "N,N",
        CustomParser = result =>
        {
            string[] parts = result.Tokens[0].Value.Split(',');
            if (parts.Length == 2 && Whole(parts[0]) is { } p && Whole(parts[1]) is { } s)
            {
                return (p, s);
            }

            result.AddError($"--audio-track takes two whole numbers from 1, such as 1,2, not '{result.Tokens[0].Value}'.");
            return null;
        },
    };

    private readonly Option<(double Primary, double Secondary)?> _distances = new("--mic-distance")
    {
        Description = "Distance in metres from the sound source to each camera's microphone, camera A,camera B: corrects for the travel time of sound (12 m are about a frame).",
        HelpName = "METRES,METRES",
        CustomParser = result =>
        {
            string[] parts = result.Tokens[0].Value.Split(',');
            if (parts.Length == 2 && Metres(parts[0]) is { } p && Metres(parts[1]) is { } s)
            {
                return (p, s);
            }

            result.AddError($"--mic-distance takes two distances in metres, such as 9,1.5, not '{result.Tokens[0].Value}'.");
            return null;
        },
    };

    public void AddTo(Command command)
    {
        command.Add(_tracks);
        command.Add(_distances);
    }

    public MatchRequest Read(ParseResult parsed, MatchRequest request) => request with
    {
        Primary = request.Primary with { AudioTrack = parsed.GetValue(_tracks)?.Primary - 1, MicDistanceMetres = parsed.GetValue(_distances)?.Primary },
        Secondary = request.Secondary with { AudioTrack = parsed.GetValue(_tracks)?.Secondary - 1, MicDistanceMetres = parsed.GetValue(_distances)?.Secondary },
    };

    private static int? Whole(string text) =>
        int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int n) && n >= 1 ? n : null;

    private static double? Metres(string text) =>
        double.TryParse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double m) && m <= 10000 ? m : null;
}
