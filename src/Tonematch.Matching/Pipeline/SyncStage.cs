using Tonematch.Media.Clips;
using Tonematch.Media.Sound;
using Tonematch.Sync;

namespace Tonematch.Matching;

/// <summary>Finds how two clips lie in time.</summary>
public static class SyncStage
{
    // Enough for hundredths of a millisecond by interpolation, and an hour is 115 MB.
    private const int SampleRate = 8000;

    /// <summary>What was found, and the sound it was found from (null when it was not listened to).</summary>
    public sealed record Result(SyncFound Found, MonoSound? Primary, MonoSound? Secondary);

    /// <summary>The offset given by hand, or by the sound.</summary>
    /// <exception cref="NoTrustworthyResultException">Nothing tells how the clips lie in time.</exception>
    public static async Task<Result> RunAsync(ClipInfo primary, ClipInfo secondary, MatchRequest request, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(request);
        if (request.OffsetSeconds is { } given)
        {
            return new Result(SyncFound.Given(given), null, null);
        }

        if (primary.AudioTracks.Length == 0 || secondary.AudioTracks.Length == 0)
        {
            string silent = primary.AudioTracks.Length == 0 ? primary.Path : secondary.Path;
            throw new NoTrustworthyResultException($"{silent} has no sound, so the two cannot be lined up by it. Give --offset SECONDS (t_secondary = t_primary + offset).");
        }

        // Decoding sound is one thread a clip: side by side.
        Task<MonoSound> a = SoundReader.ReadMonoAsync(primary, SampleRate, request.PrimaryAudioTrack, 0, null, cancel);
        Task<MonoSound> b = SoundReader.ReadMonoAsync(secondary, SampleRate, request.SecondaryAudioTrack, 0, null, cancel);
        MonoSound[] sounds = await Task.WhenAll(a, b);
        SyncOptions options = new()
        {
            PrimaryMicDistanceMetres = request.PrimaryMicDistanceMetres,
            SecondaryMicDistanceMetres = request.SecondaryMicDistanceMetres,
            FrameSeconds = primary.FrameRate.Value > 0 ? 1 / primary.FrameRate.Value : 0.04,
        };
        SyncResult result = await Task.Run(() => SoundSync.Synchronise(sounds[0], sounds[1], options, cancel), cancel);
        return result switch
        {
            SyncFound found => new Result(found, sounds[0], sounds[1]),
            SyncRefused refused => throw new NoTrustworthyResultException($"{refused.Reason} {refused.Advice}"),
            _ => throw new InvalidOperationException("A sync result is either found or refused."),
        };
    }
}
